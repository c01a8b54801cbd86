"""What keeps the window quick and answering."""

import builtins
import gc
import json
import subprocess
import sys
import threading
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from printcrib.app.live_window import (
    COLLECT_EVERY,
    TURN_S,
    YOUNG_EVERY_MS,
    TidyUp,
    keep_imports_quick,
    take_short_turns,
)

FRAME = """
import json, sys
from printcrib.app.live_window import keep_imports_quick
keep_imports_quick()
import printcrib.app.window, printcrib.app.frame
import linecache
print(json.dumps([sorted(sys.modules), sorted(linecache.cache)]))
"""


@pytest.fixture
def usual() -> Iterator[None]:
    """Python's own settings come back after the test."""
    turn, collects, imports = sys.getswitchinterval(), gc.isenabled(), builtins.__import__
    yield
    sys.setswitchinterval(turn)
    (gc.enable if collects else gc.disable)()
    builtins.__import__ = imports
    gc.unfreeze()


class Busy:
    """A background that is under way or not."""

    busy = False


def test_the_frame_is_painted_before_the_slow_libraries_load() -> None:
    done = subprocess.run([sys.executable, "-c", FRAME], capture_output=True, text=True, check=True)
    modules, sources = json.loads(done.stdout)
    slow = {"numpy", "scipy", "shapely", "sqlalchemy", "alembic", "typst", "qtawesome", "asyncio"}
    assert {"PySide6.QtWidgets", "printcrib.app.frame"} <= set(modules)
    assert set(modules) & (slow | {"printcrib.services.interfaces"}) == set()
    assert not [source for source in sources if "printcrib" in source]


def test_imports_are_pythons_own_after_qt_is_loaded(usual: None) -> None:
    keep_imports_quick()
    own = builtins.__import__
    keep_imports_quick()
    assert builtins.__import__ is own
    assert own.__name__ != "__feature_import__"


def test_threads_take_short_turns_and_collect_nothing(usual: None) -> None:
    gc.enable()
    take_short_turns()
    assert sys.getswitchinterval() == pytest.approx(TURN_S)
    assert not gc.isenabled()


class Ring:
    """An object that only a collection frees."""

    def __init__(self) -> None:
        self.itself = self


def test_new_objects_are_freed_in_the_windows_thread(usual: None, qtbot: QtBot) -> None:
    take_short_turns()
    parent = QObject()
    TidyUp(Busy(), parent)  # type: ignore[arg-type]
    freed: list[int] = []
    ring = Ring()
    weakref.finalize(ring, lambda: freed.append(threading.get_ident()))
    del ring
    qtbot.waitUntil(lambda: bool(freed), timeout=20 * YOUNG_EVERY_MS)
    assert freed == [threading.main_thread().ident]
    parent.deleteLater()


def test_old_objects_are_looked_through_between_works_only(usual: None, qapp: object) -> None:
    background, parent = Busy(), QObject()
    tidy = TidyUp(background, parent)  # type: ignore[arg-type]
    assert [tidy.look() for _ in range(COLLECT_EVERY)] == [False] * (COLLECT_EVERY - 1) + [True]
    background.busy = True
    assert [tidy.look() for _ in range(2 * COLLECT_EVERY)] == [False] * 2 * COLLECT_EVERY
    background.busy = False
    assert tidy.look()
    assert not tidy.look()
    assert gc.get_freeze_count() > 0
    parent.deleteLater()
