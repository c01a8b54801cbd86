"""Line icons, always beside a word. They are painted as letters of the icon font when needed,
so a change of theme needs no new pixmaps, and a printed or zoomed screen stays sharp."""

import json
from collections.abc import Mapping
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF, QIcon, QPainter, QPixmap

ICONS = {
    "desk": "hand",
    "requests": "tray",
    "run_sheet": "rows",
    "spool_rack": "stack",
    "aids": "tag",
    "trouble_log": "wrench",
    "pattern_book": "book-open",
    "week_summary": "file-text",
    "shop_settings": "sliders-horizontal",
    "done": "check",
    "clock": "clock",
    "problem": "warning-octagon",
    "undo": "arrow-counter-clockwise",
    "scan": "qr-code",
    "weigh": "scales",
    "plus": "plus",
    "minus": "minus",
    "save": "file-arrow-down",
    "caution": "shield-warning",
    "open": "upload-simple",
    "back": "caret-left",
    "forward": "caret-right",
    "up": "caret-up",
    "down": "caret-down",
    "close": "x",
    "search": "magnifying-glass",
    "handbook": "question",
    "light": "sun",
    "dark": "moon",
    "person": "user",
    "printer": "printer",
    "drying": "thermometer",
    "nobody": "moon-stars",
    "photo": "camera",
    "erase": "backspace",
    "pencil": "pencil-simple",
    "turn_left": "arrow-arc-left",
    "turn_right": "arrow-arc-right",
}
"""Our name of each icon -> its name in the Phosphor set (MIT licence)."""


@lru_cache(maxsize=1)
def _fonts() -> Path:
    """Where qtawesome keeps its fonts. It is not imported: that loads twelve sets of icons where one is
    wanted (34 MB and half of the time to the first paint)."""
    found = find_spec("qtawesome")
    if found is None or found.origin is None:
        raise ModuleNotFoundError("No module named 'qtawesome'", name="qtawesome")
    return Path(found.origin).parent / "fonts"


def _file(pattern: str) -> Path:
    """The one file of the set, of whatever version."""
    return next(_fonts().glob(pattern))


@lru_cache(maxsize=1)
def _letters() -> Mapping[str, str]:
    """Our name of each icon -> its letter in the icon font."""
    codes: dict[str, str] = json.loads(_file("phosphor-charmap-*.json").read_text("ascii"))
    return {ours: chr(int(codes[theirs], 16)) for ours, theirs in ICONS.items()}


@lru_cache(maxsize=1)
def _family() -> str:
    """What the icon font calls itself, once it is loaded."""
    number = QFontDatabase.addApplicationFontFromData(_file("phosphor-[0-9]*.ttf").read_bytes())
    return QFontDatabase.applicationFontFamilies(number)[0]


@lru_cache(maxsize=32)
def _icon_font(size_px: int) -> QFont:
    made = QFont(_family())
    made.setPixelSize(size_px)
    return made


def paint_icon(painter: QPainter, name: str, box: QRectF, colour: QColor) -> None:
    """Paint one icon centred in a square box."""
    painter.save()
    shape = _icon_font(round(box.height()))
    painter.setFont(shape)
    painter.setPen(colour)
    measure = QFontMetricsF(shape)
    letter = _letters()[name]
    left = box.center().x() - measure.horizontalAdvance(letter) / 2
    base = box.center().y() + (measure.ascent() - measure.descent()) / 2
    painter.drawText(QPointF(left, base), letter)
    painter.restore()


def icon_pixmap(name: str, size_px: int, colour: QColor, ratio: float = 1.0) -> QPixmap:
    """One icon as a pixmap, for places that only take pixmaps; make it again when the theme changes."""
    pixmap = QPixmap(round(size_px * ratio), round(size_px * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint_icon(painter, name, QRectF(0, 0, size_px, size_px), colour)
    painter.end()
    return pixmap


def window_icon(colour: QColor) -> QIcon:
    """The application's own icon."""
    icon = QIcon()
    for size in (16, 32, 64, 128):
        icon.addPixmap(icon_pixmap("spool_rack", size, colour))
    return icon
