"""Puts the shop's look on the application: style, palette, style sheet and fonts from one token table."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QColor, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from printcrib.screens.parts import lettering
from printcrib.screens.parts.tokens import CONTROL_PX, DARK, LIGHT, RADIUS, Tokens

_FONTS = ("Inter-Regular.otf", "Inter-Medium.otf", "Inter-SemiBold.otf", "InterDisplay-SemiBold.otf")


def load_fonts(resources: Path) -> None:
    """Make the shipped Inter known; without it the system's font is used."""
    for name in _FONTS:
        path = resources / "fonts" / name
        if path.exists():
            QFontDatabase.addApplicationFontFromData(path.read_bytes())


class Theme(QObject):
    """The look in force; light or dark, changed while the window is open.

    Signals:
        changed(bool): True for dark.
    """

    changed = Signal(bool)

    def __init__(self, app: QApplication, resources: Path, *, dark: bool = False) -> None:
        super().__init__(app)
        self._app = app
        app.setStyle("Fusion")
        load_fonts(resources)
        app.setFont(lettering.font())
        self._dark = dark
        self._put_on()

    @property
    def dark(self) -> bool:
        """Whether the dark table is in force."""
        return self._dark

    def set_dark(self, dark: bool) -> None:
        """Change to the dark or the light table."""
        if dark == self._dark:
            return
        self._dark = dark
        self._put_on()
        self.changed.emit(dark)

    def toggle(self) -> None:
        """Light to dark, dark to light."""
        self.set_dark(not self._dark)

    def _put_on(self) -> None:
        tokens = DARK if self._dark else LIGHT
        self._app.setPalette(palette(tokens))
        self._app.setStyleSheet(style_sheet(tokens))


def palette(tokens: Tokens) -> QPalette:
    """The palette of one token table, disabled group included."""
    made = QPalette()
    role = QPalette.ColorRole
    plain: dict[QPalette.ColorRole, QColor] = {
        role.Window: tokens.paper,
        role.WindowText: tokens.ink,
        role.Base: tokens.sheet,
        role.AlternateBase: tokens.paper,
        role.Text: tokens.ink,
        role.PlaceholderText: tokens.ink2,
        role.Button: tokens.sheet,
        role.ButtonText: tokens.ink,
        role.BrightText: tokens.signal,
        role.Highlight: tokens.accent,
        role.HighlightedText: tokens.on_accent,
        role.Link: tokens.accent,
        role.LinkVisited: tokens.accent,
        role.ToolTipBase: tokens.ink,
        role.ToolTipText: tokens.sheet,
        role.Accent: tokens.accent,
        role.Light: tokens.sheet,
        role.Midlight: tokens.well,
        role.Mid: tokens.line,
        role.Dark: tokens.edge,
        role.Shadow: tokens.edge,
    }
    for one, colour in plain.items():
        made.setColor(one, colour)
    off = QPalette.ColorGroup.Disabled
    for one in (role.WindowText, role.Text, role.ButtonText, role.PlaceholderText, role.HighlightedText):
        made.setColor(off, one, tokens.ink2)
    for one in (role.Base, role.Button, role.Highlight):
        made.setColor(off, one, tokens.well)
    return made


def style_sheet(tokens: Tokens) -> str:
    """Rules for the few widgets Qt paints: typed fields, tables, scroll bars, tool tips, choosing a file."""
    t = {name: colour.name() for name, colour in tokens.named().items()}
    inner = CONTROL_PX - 4  # a style sheet's height leaves out border and padding
    return f"""
    QLineEdit {{ background: {t["sheet"]}; color: {t["ink"]}; border: 2px solid {t["edge"]};
        border-radius: {RADIUS}px; padding: 0 14px; min-height: {inner}px; max-height: {inner}px;
        selection-background-color: {t["accent"]}; selection-color: {t["on_accent"]}; }}
    QPlainTextEdit {{ background: {t["sheet"]}; color: {t["ink"]}; border: 2px solid {t["edge"]};
        border-radius: {RADIUS}px; padding: 6px 10px;
        selection-background-color: {t["accent"]}; selection-color: {t["on_accent"]}; }}
    QLineEdit:focus, QPlainTextEdit:focus {{ border-color: {t["accent"]}; }}
    QLineEdit[wrong="true"], QPlainTextEdit[wrong="true"] {{ border-color: {t["signal"]}; }}
    QLineEdit:disabled, QPlainTextEdit:disabled {{ background: {t["well"]}; color: {t["ink2"]};
        border: 2px solid {t["line"]}; }}
    QTableView {{ background: transparent; border: none; gridline-color: transparent; outline: none; }}
    QHeaderView {{ background: transparent; border: none; }}
    QScrollArea, QScrollArea > QWidget > QWidget {{ background: transparent; border: none; }}
    QScrollBar:vertical {{ background: transparent; width: 20px; margin: 0; }}
    QScrollBar:horizontal {{ background: transparent; height: 20px; margin: 0; }}
    QScrollBar::handle {{ background: {t["edge"]}; border-radius: 4px; margin: 6px; }}
    QScrollBar::handle:vertical {{ min-height: 58px; }}
    QScrollBar::handle:horizontal {{ min-width: 58px; }}
    QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page {{
        background: transparent; border: none; width: 0; height: 0; }}
    QToolTip {{ background: {t["ink"]}; color: {t["sheet"]}; border: none; padding: 6px; }}
    {_file_rules(t)}
    """


def _file_rules(t: dict[str, str]) -> str:
    """Rules for the sheet on which a file or a folder is chosen, the one sheet that Qt lays out itself."""
    inner = CONTROL_PX - 4

    def buttons(state: str = "") -> str:
        return f"QFileDialog QPushButton{state}, QMessageBox QPushButton{state}"

    return f"""
    QFileDialog {{ min-width: 900px; min-height: 560px; }}
    {buttons()} {{ background: {t["sheet"]}; color: {t["ink"]}; border: 2px solid {t["edge"]};
        border-radius: {RADIUS}px; padding: 0 18px; min-height: {inner}px; min-width: 84px;
        font-weight: 600; icon-size: 0px; }}
    {buttons(":default")} {{ border-color: {t["accent"]}; color: {t["accent"]}; }}
    {buttons(":focus")} {{ border-color: {t["ink"]}; }}
    {buttons(":pressed")} {{ background: {t["tint"]}; }}
    {buttons(":disabled")} {{ background: {t["well"]}; color: {t["ink2"]}; border: 1px solid {t["line"]}; }}
    QFileDialog QToolButton {{ background: {t["sheet"]}; border: 2px solid {t["edge"]};
        border-radius: {RADIUS}px; min-width: {inner}px; min-height: {inner}px; }}
    QFileDialog QToolButton:pressed {{ background: {t["tint"]}; border-color: {t["accent"]}; }}
    QFileDialog QToolButton:focus {{ border-color: {t["ink"]}; }}
    QFileDialog QToolButton:disabled {{ background: {t["well"]}; border: 1px solid {t["line"]}; }}
    QFileDialog QComboBox {{ background: {t["sheet"]}; color: {t["ink"]}; border: 2px solid {t["edge"]};
        border-radius: {RADIUS}px; padding: 0 14px; min-height: {inner}px; }}
    QFileDialog QComboBox:focus {{ border-color: {t["accent"]}; }}
    QFileDialog QComboBox::drop-down {{ border: none; width: 40px; }}
    QFileDialog QAbstractItemView {{ background: {t["sheet"]}; color: {t["ink"]}; outline: none;
        border: 1px solid {t["line"]}; border-radius: {RADIUS}px;
        selection-background-color: {t["tint"]}; selection-color: {t["ink"]}; }}
    QFileDialog QAbstractItemView::item {{ min-height: 44px; }}
    """
