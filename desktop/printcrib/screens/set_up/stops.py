"""Where Tab stops on a page whose rows come and go: in the order of its layouts, as one reads it."""

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLayout, QScrollArea, QWidget


def stops_in(widget: QWidget | None) -> Iterator[QWidget]:
    """Everything in a widget that takes the focus by Tab now."""
    if widget is None or widget.isHidden() or not widget.isEnabled():
        return
    if isinstance(widget, QScrollArea):
        yield from stops_in(widget.widget())
    elif widget.focusPolicy().value & Qt.FocusPolicy.TabFocus.value:
        yield widget
    else:
        yield from _in_layout(widget.layout())


def bring_into_view(widget: QWidget) -> None:
    """Scroll whatever a widget stands in, so that it is seen."""
    at = widget.parentWidget()
    while at is not None:
        if isinstance(at, QScrollArea):
            at.ensureWidgetVisible(widget)
        at = at.parentWidget()


def _in_layout(layout: QLayout | None) -> Iterator[QWidget]:
    for at in range(layout.count() if layout is not None else 0):
        item = layout.itemAt(at) if layout is not None else None
        if item is None:
            continue
        if item.layout() is not None:
            yield from _in_layout(item.layout())
        else:
            yield from stops_in(item.widget())
