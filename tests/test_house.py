"""The house keeps its rules: what lies where, who may import what, and what the locks promise."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "desktop" / "printcrib"
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "desktop",
    "resources",
    "tests",
    "packaging",
}
MADE_BY_TOOLS = {"build", "dist"}  # wheels and installers, never committed
SHARED_SCREEN_FOLDERS = {"shell", "parts"}
IMPORT_ALL = """
import importlib, json, pkgutil, sys
def every(name):
    module = importlib.import_module(name)
    yield name
    for found in pkgutil.iter_modules(getattr(module, "__path__", [])):
        yield from every(f"{name}.{found.name}")
loaded = [name for layer in sys.argv[1:] for name in every(f"printcrib.{layer}")]
print(json.dumps({"loaded": loaded, "all": sorted(sys.modules)}))
"""


def _import_all(*layers: str) -> tuple[list[str], set[str]]:
    """Import every module of the layers in a new process; answer these and the roots of all loaded."""
    command = [sys.executable, "-c", IMPORT_ALL, *layers]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    return told["loaded"], {name.partition(".")[0] for name in told["all"]}


def _imports(path: Path) -> Iterator[str]:
    """Every module name that a file imports, also inside functions."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute here"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _files(*parts: str) -> list[Path]:
    return sorted(PACKAGE.joinpath(*parts).rglob("*.py"))


def _offenders(paths: list[Path], forbidden: str) -> list[str]:
    pattern = re.compile(rf"({forbidden})(\.|$)")
    return [
        f"{path.relative_to(ROOT)}: {name}"
        for path in paths
        for name in _imports(path)
        if pattern.match(name)
    ]


def test_core_and_services_load_neither_qt_nor_sqlalchemy() -> None:
    loaded, roots = _import_all("core", "services")
    assert {"printcrib.core.errors", "printcrib.services"} <= set(loaded)
    assert roots & {"PySide6", "shiboken6", "qtawesome", "sqlalchemy", "alembic"} == set()


def test_the_window_starts_without_the_slow_libraries() -> None:
    """Heavy libraries are imported where they are used, so that the first paint does not wait for them."""
    loaded, roots = _import_all("screens")
    assert "printcrib.screens.shell" in loaded
    assert roots & {"trimesh", "pyqtgraph", "numba", "alembic", "uvicorn", "typst"} == set()


def test_top_level_holds_only_the_agreed_names() -> None:
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - TOP_LEVEL - MADE_BY_TOOLS == set()
    assert {"pyproject.toml", "LICENSE", "desktop", "resources", "tests", "packaging"} <= found


def test_core_knows_only_the_agreed_libraries() -> None:
    allowed = set(sys.stdlib_module_names) | {"numpy", "scipy", "shapely", "printcrib"}
    found = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in _files("core")
        for name in _imports(path)
        if name.partition(".")[0] not in allowed | ({"numba"} if "compiled" in path.parts else set())
    ]
    assert found == []


def test_services_use_only_core_and_the_agreed_libraries() -> None:
    allowed = set(sys.stdlib_module_names) | {"printcrib", "argon2"}  # argon2: the slow hash of a PIN
    found = [
        f"{path.relative_to(ROOT)}: {name}"
        for path in _files("services")
        for name in _imports(path)
        if name.partition(".")[0] not in allowed
    ]
    assert found == []


def test_a_presenter_never_imports_qt() -> None:
    presenters = [path for path in _files("screens") if "presenter" in path.stem]
    assert _offenders(presenters, "PySide6|shiboken6|qtawesome") == []


def test_a_screen_never_imports_another_screen() -> None:
    found = []
    for path in _files("screens"):
        own = path.relative_to(PACKAGE / "screens").parts[0]
        others = "|".join(
            folder.name
            for folder in sorted((PACKAGE / "screens").iterdir())
            if folder.is_dir() and folder.name not in SHARED_SCREEN_FOLDERS | {own, "__pycache__"}
        )
        if others:
            found += _offenders([path], rf"printcrib\.screens\.({others})")
    assert found == []


def _pins(lock: str) -> dict[str, str]:
    text = (ROOT / "packaging" / f"{lock}.lock").read_text(encoding="utf-8")
    return dict(re.findall(r"^([A-Za-z0-9._-]+(?:\[[a-z,]+\])?)==([^\s;\\]+)", text, flags=re.MULTILINE))


def test_dev_lock_holds_the_runtime_lock() -> None:
    runtime, dev = _pins("runtime"), _pins("dev")
    assert len(runtime) > 30
    assert {name: dev.get(name) for name in runtime} == runtime


def test_locks_carry_hashes_and_no_addresses() -> None:
    for lock in ("runtime", "dev"):
        text = (ROOT / "packaging" / f"{lock}.lock").read_text(encoding="utf-8")
        assert "://" not in text
        assert "--index-url" not in text
        blocks = re.split(r"^(?=[A-Za-z0-9])", text, flags=re.MULTILINE)[1:]
        assert [block.partition("==")[0] for block in blocks if "--hash=sha256:" not in block] == []


def test_the_wheel_asks_for_what_the_lock_was_made_from() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    asked = (ROOT / "packaging" / "runtime.in").read_text(encoding="utf-8").split("\n")
    assert declared == [line for line in asked if line and not line.startswith("#")]
