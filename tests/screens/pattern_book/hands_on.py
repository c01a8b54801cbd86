"""Short ways to what stands over the page, and to what the books hold."""

from typing import TypeVar

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget
from tests.screens.hands import focused, key
from tests.services.aid_shop import AidShop

from printcrib.core.patterns import Pattern, Size
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.services.interfaces import is_
from printcrib.services.look_at_patterns import SizeLine

P = TypeVar("P", bound=AskPanel)


def asking(page: PatternBookPage, kind: type[P]) -> P:
    """The question that stands over the page."""
    panel = page.standing_over
    assert isinstance(panel, kind), f"{type(panel).__name__} stands there"
    return panel


def line_of(page: PatternBookPage) -> SizeLine | None:
    """The size the card shows now."""
    return page.card.line


def revision_of(page: PatternBookPage) -> str:
    """The revision the card shows now."""
    line = line_of(page)
    assert line is not None
    return line.revision


def patterns(desk: AidShop) -> dict[str, Pattern]:
    """Listed patterns by name."""
    with desk.shop.read() as uow:
        return {each.name: each for each in uow.patterns.find(is_("listed", True))}


def sizes(desk: AidShop) -> dict[str, Size]:
    """Sizes of the pattern by name."""
    with desk.shop.read() as uow:
        return {each.name: each for each in uow.sizes.find(is_("pattern_id", desk.pattern.id))}


def drop(widget: QWidget, path: str) -> bool:
    """Drag a file over a widget and let it go; whether it would be taken."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(path)])
    action, left, none = (
        Qt.DropAction.CopyAction,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    enter = QDragEnterEvent(QPoint(5, 5), action, data, left, none)
    enter.ignore()
    widget.dragEnterEvent(enter)
    if enter.isAccepted():
        widget.dropEvent(QDropEvent(QPointF(5, 5), action, data, left, none))
    return enter.isAccepted()


def tab_to(widget: QWidget) -> None:
    """Press Tab until the widget has the focus, and no oftener than a person would."""
    for _ in range(60):
        if focused() is widget:
            return
        key(None, Qt.Key.Key_Tab)
    raise AssertionError(f"Tab does not lead to {widget.accessibleName()}")
