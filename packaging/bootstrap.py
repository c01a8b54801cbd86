"""Sets up the folder `.venv` from a locked list, with nothing but Python's own library.

Shared by `run.py` and `test.py`. Both use one `.venv`: `dev.lock` holds everything in `runtime.lock` at the
same versions, so whichever comes first, the other only adds. A stamp of lock and Python makes the next start
a file read.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "printcrib-stamp.json"
LOCKS = {"runtime": ROOT / "packaging" / "runtime.lock", "dev": ROOT / "packaging" / "dev.lock"}
WINDOWS = os.name == "nt"
MINOR_VERSION = f"{sys.version_info[0]}.{sys.version_info[1]}"
# What Qt opens by itself, and the Debian package that brings it.
ALWAYS_NEEDED = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
}
NEEDED_FOR_X11 = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


def stop(sentence: str) -> NoReturn:
    """End with one plain sentence on the error stream."""
    sys.stderr.write(sentence + "\n")
    raise SystemExit(2)


def venv_python() -> Path:
    """The Python inside `.venv`, there or not yet."""
    return VENV / ("Scripts/python.exe" if WINDOWS else "bin/python")


def prepare(which: str) -> Path:
    """Have `.venv` hold what the lock `which` ("runtime" or "dev") lists, and answer its Python."""
    check_libraries()
    if not _is_ready(which):
        with _alone():
            if not _is_ready(which):
                _build(which)
    return venv_python()


def check_libraries() -> None:
    """On Linux, name the system packages that the window needs and that are missing here."""
    if not sys.platform.startswith("linux"):
        return
    wanted = dict(ALWAYS_NEEDED)
    if os.environ.get("DISPLAY") and os.environ.get("QT_QPA_PLATFORM", "xcb").startswith("xcb"):
        wanted.update(NEEDED_FOR_X11)
    missing = sorted(package for library, package in wanted.items() if not _can_open(library))
    if missing:
        stop(
            "System libraries that the window needs are missing; on Debian or Ubuntu: "
            f"sudo apt-get install --no-install-recommends {' '.join(missing)}"
        )


def environment() -> dict[str, str]:
    """The environment for Printcrib: pictures are drawn in memory where Linux has no display."""
    env = dict(os.environ)
    no_display = not env.get("DISPLAY") and not env.get("WAYLAND_DISPLAY")
    if sys.platform.startswith("linux") and no_display:
        env.setdefault("QT_QPA_PLATFORM", "offscreen")
    return env


def run(command: list[str], env: dict[str, str] | None = None, longest_min: float | None = None) -> int:
    """Run a command to its end from the project's folder and answer its exit code.

    One that takes longer than `longest_min` is stopped, and counts as failed.
    """
    limit = None if longest_min is None else longest_min * 60
    try:
        return subprocess.call(command, cwd=str(ROOT), env=env or environment(), timeout=limit)
    except subprocess.TimeoutExpired:
        sys.stderr.write(f"Stopped after {longest_min} minutes: {' '.join(command[1:])}\n")
        return 1


def _can_open(library: str) -> bool:
    try:
        import ctypes

        ctypes.CDLL(library)
    except ImportError:
        return True  # a Python without ctypes cannot tell; Qt will
    except OSError:
        return False
    return True


def _wanted_stamp() -> dict[str, str]:
    python = f"{MINOR_VERSION} {sys.platform}".encode()
    return {name: hashlib.sha256(lock.read_bytes() + python).hexdigest() for name, lock in LOCKS.items()}


def _read_stamp() -> dict[str, str]:
    try:
        read = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return read if isinstance(read, dict) else {}


def _is_ready(which: str) -> bool:
    return venv_python().exists() and _read_stamp().get(which) == _wanted_stamp()[which]


@contextlib.contextmanager
def _alone() -> Iterator[None]:
    """Let one start at a time build `.venv`: a second press waits for the first instead of spoiling it."""
    try:
        handle = (ROOT / ".venv.lock").open("a+b")
    except OSError:
        stop(
            f"Nothing can be written in {ROOT}; move Printcrib to a folder of your own, then start it there."
        )
    with handle:
        if sys.platform == "win32":
            import msvcrt

            while True:
                with contextlib.suppress(OSError):
                    msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)
                    break
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _build(which: str) -> None:
    sys.stderr.write(f"Setting up .venv from packaging/{which}.lock (about a minute, once) ...\n")
    if not _same_python():
        _make_venv()
    stamp = _read_stamp()
    STAMP.unlink(missing_ok=True)
    _install(LOCKS[which])
    # Relative, so that the folder may be moved and its name may hold any letters.
    steps_up = "../../.." if WINDOWS else "../../../.."
    (_site_packages() / "printcrib-desktop.pth").write_text(steps_up + "/desktop\n", encoding="ascii")
    wanted = _wanted_stamp()
    stamp.update(wanted if which == "dev" else {"runtime": wanted["runtime"]})
    STAMP.write_text(json.dumps(stamp), encoding="utf-8")


def _site_packages() -> Path:
    if WINDOWS:
        return VENV / "Lib" / "site-packages"
    return VENV / "lib" / f"python{MINOR_VERSION}" / "site-packages"


def _same_python() -> bool:
    """Whether `.venv` starts and was made with this version of Python."""
    asked = "import sys, pip; print('%d.%d' % sys.version_info[:2])"
    try:
        told = subprocess.run([str(venv_python()), "-c", asked], capture_output=True, text=True, check=False)
    except OSError:
        return False
    return told.returncode == 0 and told.stdout.strip() == MINOR_VERSION


def _make_venv() -> None:
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    made = subprocess.run(command, capture_output=True, text=True, check=False)
    if made.returncode:
        sys.stderr.write(made.stdout + made.stderr)
        stop(
            "Python could not make the folder .venv; on Debian or Ubuntu this helps: "
            f"sudo apt-get install python{MINOR_VERSION}-venv"
        )


def _install(lock: Path) -> None:
    command = [str(venv_python()), "-m", "pip", "install", "-qq", "--disable-pip-version-check"]
    command += ["--require-hashes", "--only-binary", ":all:", "-r", str(lock)]
    if run(command, env=dict(os.environ)):
        stop(
            f"The libraries in packaging/{lock.name} could not be installed (the reason is above); check the "
            "network and the free disk space, then give the same command again. "
            "Linux must have glibc 2.34 (Debian 12, Ubuntu 22.04) or newer, a Mac macOS 13 or newer."
        )
