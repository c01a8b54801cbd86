"""Checks every page must pass: names, sizes, and words that fit. Used by the tests of all places."""

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QAbstractButton, QLabel, QLineEdit, QPlainTextEdit, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.charts import Chart
from printcrib.screens.parts.model_view import ModelView
from printcrib.screens.parts.record_table import _View
from printcrib.screens.parts.time_line import TimeLine
from printcrib.screens.parts.tokens import MAIN_PX, SMALL_PX
from printcrib.screens.parts.words import Words

CONTROLS = (QAbstractButton, QLineEdit, QPlainTextEdit, _View, TimeLine, ModelView, Chart)
LEAST_PT = 16


def controls_of(page: QWidget) -> list[QWidget]:
    """Every control that is shown on a page."""
    return [w for w in page.findChildren(QWidget) if isinstance(w, CONTROLS) and w.isVisibleTo(page)]


def without_name(page: QWidget) -> list[str]:
    """Controls that tell a screen reader nothing."""
    return [
        f"{type(control).__name__} {control.geometry()}"
        for control in controls_of(page)
        if not (control.accessibleName() or (isinstance(control, QAbstractButton) and control.text()))
    ]


def too_small(page: QWidget) -> list[str]:
    """Pressed things under 50 px (13 mm at 96 dots an inch), or a main button under 76."""
    found = []
    for control in controls_of(page):
        if isinstance(control, QAbstractButton | QLineEdit):
            least = MAIN_PX if isinstance(control, Button) and control.kind == "main" else SMALL_PX
            if control.height() < least or control.width() < SMALL_PX:
                found.append(f"{control.accessibleName()}: {control.width()} x {control.height()}")
    return found


def overlapping(page: QWidget) -> list[str]:
    """Buttons and fields painted over one another, or closer than 8 px."""
    shown = [c for c in controls_of(page) if isinstance(c, QAbstractButton | QLineEdit) and c.visibleRegion()]
    seen = [(c, c.visibleRegion().boundingRect()) for c in shown]  # what is scrolled away covers nothing
    places = [(c, QRect(c.mapTo(page, area.topLeft()), area.size())) for c, area in seen]
    found = []
    for index, (one, area) in enumerate(places):
        for other, taken in places[index + 1 :]:
            if area.adjusted(-3, -3, 3, 3).intersects(taken.adjusted(-3, -3, 3, 3)):
                found.append(f"{one.accessibleName()} and {other.accessibleName()}")
    return found


def cut_words(page: QWidget) -> list[str]:
    """Texts with less room than they need, and without dots to say so."""
    found = []
    for label in page.findChildren(QLabel):
        if not label.isVisibleTo(page) or not label.text():
            continue
        if isinstance(label, Words) and label.elides:
            continue
        need = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
        wide = 0 if label.wordWrap() else label.minimumSizeHint().width()
        if label.height() + 3 < need or label.width() + 1 < wide:
            found.append(f"{label.text()!r}: {label.size()} of {label.sizeHint()}")
    return found


def too_fine(page: QWidget) -> list[str]:
    """Texts under 16 pt."""
    return [
        f"{label.text()!r}: {label.font().pointSizeF()} pt"
        for label in page.findChildren(QLabel)
        if label.isVisibleTo(page) and label.font().pointSizeF() < LEAST_PT
    ]


def faults_of(page: QWidget) -> list[str]:
    """Everything above at once; an empty list is a good page."""
    return [
        *(f"no name: {fault}" for fault in without_name(page)),
        *(f"too small: {fault}" for fault in too_small(page)),
        *(f"too close: {fault}" for fault in overlapping(page)),
        *(f"cut: {fault}" for fault in cut_words(page)),
        *(f"too fine: {fault}" for fault in too_fine(page)),
    ]
