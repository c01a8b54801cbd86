"""The ten questions in their full words, nothing preselected, and what the answers come to."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from printcrib.core.consequences import Consequence
from printcrib.core.safety import ASKED_AS, NONE_OF_THESE, QUESTIONS, SAME_USE_AS_RELEASED
from printcrib.screens.parts import lettering
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.fields import ChoiceRow, TickList
from printcrib.screens.parts.tokens import CONTROL_PX, GAP_PX
from printcrib.screens.parts.words import Words

CHOICES = tuple((str(question.id), question.words.replace("45 C", "45\u00a0C")) for question in QUESTIONS)
_BESIDE_PX = 62  # side pads and tick box of a hold button
_LEAST_COLUMN_PX = 236


class SafetyQuestions(QWidget):
    """The questions, or only "same use as released?", and below what comes of the answer.

    Signals:
        answered(object): dict of form fields: safety (ids, or None) and same_use.
    """

    answered = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._columns = 0
        self._asked = Words(ASKED_AS, weight="strong", wrap=True)
        self._release = Words("", tone="second", wrap=True)
        self.same_use = ChoiceRow(
            [("yes", "Yes, the same use"), ("no", "No, another use")], says=SAME_USE_AS_RELEASED
        )
        self._holder = QVBoxLayout()
        self._holder.setSpacing(0)
        self._consequence = Card(padding=10, spacing=2)
        self._words = Words("", weight="strong", wrap=True)
        self._further = Words("", wrap=True)
        self._consequence.add(self._words, self._further)
        self.ticks = self._made(2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._asked)
        column.addWidget(self._release)
        column.addWidget(self.same_use)
        column.addLayout(self._holder)
        column.addWidget(self._consequence)
        column.addStretch(1)
        self.same_use.chosen_changed.connect(self._on_same_use)
        self.show_answer(None, None, "", Consequence(""))

    def show_answer(
        self,
        safety: tuple[int, ...] | None,
        same_use: bool | None,
        release: str,
        consequence: Consequence,
    ) -> None:
        """Show the answer so far.

        Args:
            release: words of the release that holds for the size; "" for none.
        """
        asks_same = bool(release)
        ten = not asks_same or same_use is False
        self._asked.setText(ASKED_AS if ten and not asks_same else SAME_USE_AS_RELEASED)
        self._release.setText(f"This size is {release}." if asks_same else "")
        self._release.setVisible(asks_same)
        self.same_use.setVisible(asks_same)
        self.same_use.set_chosen(None if same_use is None else "yes" if same_use else "no")
        self.ticks.setVisible(ten)
        ids = frozenset(str(each) for each in safety or ())
        self.ticks.set_ticked(ids, none=safety == ())
        self._words.setText(consequence.words)
        self._words.set_tone("signal" if consequence.holds else "ink")
        self._further.setText(consequence.further)
        self._further.setVisible(bool(consequence.further))
        self._consequence.set_ground("signal" if consequence.holds else "sheet")
        self._consequence.setVisible(bool(consequence.words))

    def first_row(self) -> ChoiceRow:
        """What is asked first."""
        return self.ticks if self.same_use.isHidden() else self.same_use

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        columns = max(1, min(4, (self.width() + GAP_PX) // (_LEAST_COLUMN_PX + GAP_PX)))
        if columns != self._columns:
            self._lay_ticks(columns)
        self._fit_heights()

    def _lay_ticks(self, columns: int) -> None:
        old = self.ticks
        ticked, none = old.ticked, old.answered and not old.ticked
        visible = not old.isHidden()
        old.hide()  # first: a layout may still be about to show it
        old.setParent(None)
        old.deleteLater()
        self.ticks = self._made(columns)
        self.ticks.set_ticked(ticked, none=none)
        self.ticks.setVisible(visible)

    def _made(self, columns: int) -> TickList:
        self._columns = columns
        ticks = TickList(CHOICES, columns=columns, says=ASKED_AS, none_words=NONE_OF_THESE)
        ticks.ticks_changed.connect(self._on_ticks)
        self._holder.addWidget(ticks)
        return ticks

    def _fit_heights(self) -> None:
        """Each row as high as its longest question needs, so that none is cut."""
        width = (self.width() - GAP_PX * (self._columns - 1)) // self._columns - _BESIDE_PX
        measure = lettering.metrics(lettering.TEXT_PT, "strong")
        flags = Qt.TextFlag.TextWordWrap.value
        buttons = list(self.ticks.buttons.values())
        for first in range(0, len(buttons), self._columns):
            row = buttons[first : first + self._columns]
            needs = [measure.boundingRect(0, 0, width, 1000, flags, button.text()).height() for button in row]
            for button in row:
                button.setMinimumHeight(max(CONTROL_PX, max(needs) + 8))
                button.updateGeometry()

    def _on_ticks(self) -> None:
        safety = tuple(sorted(int(one) for one in self.ticks.ticked)) if self.ticks.answered else None
        self.answered.emit({"safety": safety})

    def _on_same_use(self, one: str) -> None:
        same = one == "yes"
        self.answered.emit({"same_use": same, "safety": None})
