"""What the window remembers over a restart: its size; per shop the last place and each page's state."""

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings
from PySide6.QtWidgets import QWidget


class Memory:
    """A small file of remembered state, at a path given by the wiring.

    Records are numbered anew in every shop, so whatever points at one is remembered for its shop alone.
    """

    def __init__(self, path: Path) -> None:
        self._settings = QSettings(str(path), QSettings.Format.IniFormat)
        self._shop = "shop"

    def stand_at(self, shop: str) -> None:
        """Remember for this shop from now on.

        Args:
            shop: its folder, however it is spelled, or the address of its database; only a digest is written.
        """
        folder = Path(shop)
        name = str(folder.resolve()) if folder.is_dir() else shop
        self._shop = f"shop-{sha256(name.encode()).hexdigest()[:12]}"

    def shop_text(self, key: str) -> str:
        """A word remembered for the shop, or ""."""
        return self.text(f"{self._shop}/{key}")

    def put_shop_text(self, key: str, text: str) -> None:
        """Remember a word for the shop."""
        self.put(f"{self._shop}/{key}", text)

    def text(self, key: str, otherwise: str = "") -> str:
        """A remembered word, or the other one."""
        value = self._settings.value(key, otherwise)
        return value if isinstance(value, str) else otherwise

    def put(self, key: str, text: str) -> None:
        """Remember a word."""
        self._settings.setValue(key, text)

    def page_state(self, place_id: str) -> dict[str, str]:
        """What a page asked to remember."""
        self._settings.beginGroup(f"{self._shop}/place/{place_id}")
        state = {key: str(self._settings.value(key, "")) for key in self._settings.childKeys()}
        self._settings.endGroup()
        return state

    def put_page_state(self, place_id: str, state: Mapping[str, str]) -> None:
        """Remember a page's state, instead of what was remembered before."""
        self._settings.remove(f"{self._shop}/place/{place_id}")
        for key, text in state.items():
            self._settings.setValue(f"{self._shop}/place/{place_id}/{key}", text)

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
