"""Writes runtime.lock and dev.lock anew from the .in files: python3 packaging/lock.py [--upgrade].

Needs `uv`. Kept versions stay unless --upgrade is given. One lock serves Linux, Windows and macOS and
Python 3.11 to 3.13; dev.lock takes the versions of runtime.lock, so installing it never changes what the
shop runs.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
COMPILE = ["uv", "pip", "compile", "--quiet", "--universal", "--generate-hashes", "--python-version", "3.11"]
PLAIN = ["--no-header", "--no-emit-index-url", "--no-annotate"]


def compile_lock(name: str, more: list[str]) -> None:
    """Resolve packaging/NAME.in into packaging/NAME.lock, without comments or addresses."""
    command = [*COMPILE, *PLAIN, *more, f"{name}.in", "--output-file", f"{name}.lock"]
    subprocess.run(command, cwd=HERE, check=True)


def main(arguments: list[str]) -> int:
    """Write both locks; --upgrade takes the newest versions that the .in files allow."""
    if shutil.which("uv") is None:
        sys.stderr.write("uv is missing; install it (pipx install uv), then give the same command again.\n")
        return 2
    upgrade = ["--upgrade"] if "--upgrade" in arguments else []
    compile_lock("runtime", upgrade)
    compile_lock("dev", [*upgrade, "--constraint", "runtime.lock"])
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
