"""Naming a cause in two presses: whose it was, then what it was, in the shop's plain words."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from printcrib.core.causes import CAUSES, CauseGroup, group_of
from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.words import Words

_GROUP_WORDS = {
    CauseGroup.MACHINE: "Printer",
    CauseGroup.MATERIAL: "Material",
    CauseGroup.DESK: "Desk",
    CauseGroup.DESIGN: "Design",
    CauseGroup.NOT_KNOWN: "Not known yet",
}
_FOLLOWS = {
    CauseGroup.DESIGN: "Goes back to the asker as a question; no new copy is made.",
    CauseGroup.NOT_KNOWN: "A new copy is made. Name the cause within 7 days.",
}
_NEW_COPY = "A new copy is made by itself."


class CausePick(QWidget):
    """Groups in a row, the causes of the chosen group below, and what follows from it.

    Signals:
        cause_changed(str): the cause named; "" until one is named.
    """

    cause_changed = Signal(str)

    def __init__(self, cause: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Why it failed")
        self.cause = ""
        choices = [(group.value, words) for group, words in _GROUP_WORDS.items()]
        self.groups = ChoiceRow(choices, says="Where it came from")
        self.causes: dict[CauseGroup, ChoiceRow] = {}
        self._follows = Words("", tone="second", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.groups)
        for group, names in CAUSES.items():
            if group is CauseGroup.NOT_KNOWN:
                continue
            row = ChoiceRow([(name, name) for name in names], columns=2, says=_GROUP_WORDS[group])
            row.chosen_changed.connect(self._on_cause)
            row.hide()
            self.causes[group] = row
            column.addWidget(row)
        column.addWidget(self._follows)
        self.groups.chosen_changed.connect(self._on_group)
        if cause:
            self.set_cause(cause)

    def set_cause(self, cause: str) -> None:
        """Show a cause as named."""
        group = group_of(cause)
        self.groups.set_chosen(group.value)
        self._open(group)
        if group in self.causes:
            self.causes[group].set_chosen(cause)
        self.cause = cause

    def _on_group(self, value: str) -> None:
        group = CauseGroup(value)
        self._open(group)
        row = self.causes.get(group)
        self._tell((row.chosen or "") if row is not None else CauseGroup.NOT_KNOWN.value)

    def _on_cause(self, cause: str) -> None:
        self._tell(cause)

    def _open(self, group: CauseGroup) -> None:
        for each, row in self.causes.items():
            row.setVisible(each is group)
        self._follows.setText(_FOLLOWS.get(group, _NEW_COPY))

    def _tell(self, cause: str) -> None:
        self.cause = cause
        self.cause_changed.emit(cause)
