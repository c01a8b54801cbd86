"""The set-up before anything is installed: which Pythons, which system libraries, which display."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

PACKAGING = Path(__file__).resolve().parent.parent / "packaging"


def _load(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"printcrib_{name}", PACKAGING / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 4), (3, 13, 9)])
def test_the_stated_pythons_are_taken(version: tuple[int, ...]) -> None:
    assert _load("supported_python").check(version, True) is None


@pytest.mark.parametrize(
    ("version", "bits64"), [((3, 10, 13), True), ((3, 14, 0), True), ((3, 12, 1), False)]
)
def test_other_pythons_get_one_sentence(
    version: tuple[int, ...], bits64: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        _load("supported_python").check(version, bits64)
    told = capsys.readouterr().err
    assert ended.value.code == 2
    assert told.count("\n") == 1
    assert "3.11, 3.12 or 3.13" in told
    assert ".".join(map(str, version)) in told


@pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="system libraries are asked for on Linux only"
)
def test_missing_system_libraries_are_named_with_the_line_that_helps(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bootstrap = _load("bootstrap")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.setattr(bootstrap, "ALWAYS_NEEDED", {"libnothing-of-the-kind.so.9": "libnothing9"})
    with pytest.raises(SystemExit):
        bootstrap.check_libraries()
    assert "sudo apt-get install --no-install-recommends libnothing9" in capsys.readouterr().err


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux may have no display")
@pytest.mark.parametrize(
    ("display", "wayland", "platform"),
    [(None, None, "offscreen"), (":0", None, None), (None, "wayland-0", None)],
)
def test_without_a_display_pictures_are_drawn_in_memory(
    monkeypatch: pytest.MonkeyPatch, display: str | None, wayland: str | None, platform: str | None
) -> None:
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    for name, value in (("DISPLAY", display), ("WAYLAND_DISPLAY", wayland)):
        monkeypatch.delenv(name, raising=False)
        if value is not None:
            monkeypatch.setenv(name, value)
    assert _load("bootstrap").environment().get("QT_QPA_PLATFORM") == platform


def test_a_changed_lock_asks_for_a_new_set_up(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    bootstrap = _load("bootstrap")
    locks = {"runtime": tmp_path / "runtime.lock", "dev": tmp_path / "dev.lock"}
    for lock in locks.values():
        lock.write_text("alpha==1\n")
    (tmp_path / "python").touch()
    monkeypatch.setattr(bootstrap, "LOCKS", locks)
    monkeypatch.setattr(bootstrap, "STAMP", tmp_path / "stamp.json")
    monkeypatch.setattr(bootstrap, "venv_python", lambda: tmp_path / "python")
    assert not bootstrap._is_ready("runtime")
    bootstrap.STAMP.write_text(bootstrap.json.dumps(bootstrap._wanted_stamp()))
    assert bootstrap._is_ready("runtime")
    assert bootstrap._is_ready("dev")
    locks["dev"].write_text("alpha==2\n")
    assert bootstrap._is_ready("runtime")
    assert not bootstrap._is_ready("dev")
