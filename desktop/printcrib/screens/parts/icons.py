"""Line icons, always beside a word. They are painted as letters of the icon font when needed,
so a change of theme needs no new pixmaps, and a printed or zoomed screen stays sharp."""

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QIcon, QPainter, QPixmap

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


@lru_cache(maxsize=128)
def _letter(name: str) -> str:
    import qtawesome  # 0.25 s to import: only when the first icon is painted

    letter: str = qtawesome.charmap(f"ph.{ICONS[name]}")
    return letter


@lru_cache(maxsize=32)
def _icon_font(size_px: int) -> QFont:
    import qtawesome

    made: QFont = qtawesome.font("ph", size_px)
    return made


def paint_icon(painter: QPainter, name: str, box: QRectF, colour: QColor) -> None:
    """Paint one icon centred in a square box."""
    painter.save()
    shape = _icon_font(round(box.height()))
    painter.setFont(shape)
    painter.setPen(colour)
    measure = QFontMetricsF(shape)
    letter = _letter(name)
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
