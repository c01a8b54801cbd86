"""Sets Printcrib up where needed and checks it: python3 packaging/test.py [ARGUMENTS OF PYTEST].

Without arguments everything is checked: style, types, layers, all tests, and that the tests of core and
services take every branch of them. With arguments only pytest runs, with these arguments.
"""

import os
import sys
import time

import supported_python

supported_python.check()

import bootstrap  # noqa: E402  (older Pythons stop above with a sentence)

LONGEST_MIN = 20
"""A check that takes longer hangs, and fails; the slowest took 8 minutes on two cores."""
COVERED = ["tests/core", "tests/services", "tests/published"]


def every_check(python: str) -> list[tuple[str, list[str]]]:
    """The checks in their order, each with its name and its command."""
    module = [python, "-m"]
    return [
        ("style", [*module, "ruff", "check", "."]),
        ("format", [*module, "ruff", "format", "--check", "."]),
        ("types", [*module, "mypy"]),
        ("layers", [python, "-c", "from importlinter.cli import lint_imports_command as c; c()"]),
        ("tests", [*module, "pytest", "-n", "2", "--dist", "loadscope", "--max-worker-restart", "0"]),
        ("branches: cleared", [*module, "coverage", "erase"]),
        ("branches: tests", [*module, "coverage", "run", "-m", "pytest", "-q", *COVERED]),
        ("branches: joined", [*module, "coverage", "combine", "--quiet"]),
        ("branches: all taken", [*module, "coverage", "report", "--fail-under=100"]),
    ]


def without_postgres() -> str:
    """Why the tests could not use PostgreSQL, or nothing when they did."""
    sys.path.insert(0, str(bootstrap.ROOT))
    from tests.postgres_server import NoPostgres, binaries

    if os.environ.get("PRINTCRIB_TEST_POSTGRES_URL"):
        return ""
    try:
        binaries()
    except NoPostgres as reason:
        return str(reason)
    return ""


def check_everything(python: str) -> int:
    """Run every check, also after one fails, and end with one line that says how it went."""
    started = time.monotonic()
    failed = []
    environment = bootstrap.environment()
    for name, command in every_check(python):
        sys.stdout.write(f"\n== {name}: {' '.join(command[1:])}\n")
        sys.stdout.flush()
        # Branches of compiled kernels show only while they run as plain Python.
        env = {**environment, "NUMBA_DISABLE_JIT": "1"} if name == "branches: tests" else environment
        if bootstrap.run(command, env, LONGEST_MIN):
            failed.append(name)
    minutes = (time.monotonic() - started) / 60
    left_out = without_postgres()
    if left_out:
        sys.stdout.write(f"\n{left_out}: the tests that need it were skipped.\n")
    told = f"failed: {', '.join(failed)}" if failed else "everything passed"
    sys.stdout.write(f"\nPrintcrib checks: {told} ({minutes:.1f} min).\n")
    return 1 if failed else 0


def main(arguments: list[str]) -> int:
    """Check everything, or run pytest with these arguments, and answer the exit code."""
    python = str(bootstrap.prepare("dev"))
    if arguments:
        return bootstrap.run([python, "-m", "pytest", *arguments])
    return check_everything(python)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
