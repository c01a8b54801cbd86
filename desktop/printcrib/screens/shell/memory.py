"""What the window remembers over a restart: its size, the last place, each page's own state."""

from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings
from PySide6.QtWidgets import QWidget


class Memory:
    """A small file of remembered state, at a path given by the wiring."""

    def __init__(self, path: Path) -> None:
        self._settings = QSettings(str(path), QSettings.Format.IniFormat)

    def text(self, key: str, otherwise: str = "") -> str:
        """A remembered word, or the other one."""
        value = self._settings.value(key, otherwise)
        return value if isinstance(value, str) else otherwise

    def put(self, key: str, text: str) -> None:
        """Remember a word."""
        self._settings.setValue(key, text)

    def page_state(self, place_id: str) -> dict[str, str]:
        """What a page asked to remember."""
        self._settings.beginGroup(f"place/{place_id}")
        state = {key: str(self._settings.value(key, "")) for key in self._settings.childKeys()}
        self._settings.endGroup()
        return state

    def put_page_state(self, place_id: str, state: Mapping[str, str]) -> None:
        """Remember a page's state, instead of what was remembered before."""
        self._settings.remove(f"place/{place_id}")
        for key, text in state.items():
            self._settings.setValue(f"place/{place_id}/{key}", text)

    def put_geometry(self, window: QWidget) -> None:
        """Remember where the window stands."""
        self._settings.setValue("window/geometry", window.saveGeometry())

    def restore_geometry(self, window: QWidget) -> bool:
        """Put the window where it stood; False the first time."""
        kept = self._settings.value("window/geometry")
        return isinstance(kept, QByteArray) and window.restoreGeometry(kept)

    def write(self) -> None:
        """Put everything on the disk now."""
        self._settings.sync()
