"""Read the part counter of a machine: one reading counts every aid that is counted there."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSizePolicy

from printcrib.screens.aids.number_panel import NumberPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import FactRow
from printcrib.screens.parts.fields import Field
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words
from printcrib.services.count_use import CounterLower
from printcrib.services.look_at_counters import MachineCounter

TAGS_SHOWN = 6


class CounterPanel(NumberPanel):
    """Machine and number; a number lower than before asks "was it reset?" and books nothing.

    Signals:
        told(object, int, object): the MachineCounter, the number, and True when it was reset (else None).
    """

    told = Signal(object, int, object)

    def __init__(
        self, counters: Sequence[MachineCounter], machine_id: int | None, now: Callable[[], datetime]
    ) -> None:
        super().__init__("What does the part counter show?", "", "Book the reading", now)
        self._counters = {str(each.machine_id): each for each in counters}
        picks = [Pick(str(each.machine_id), each.name, aids_words(each)) for each in counters]
        first = str(machine_id) if machine_id is not None else next(iter(self._counters), "")
        self.machine = PickField(says="machine", picks=picks, chosen=first, nothing="Choose the machine")
        self.last = FactRow("Showed last")
        self.counts = Words("", tone="second", wrap=True)
        self.reset_button = Button("It was reset", icon="undo")
        self.reset_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.reset_button.clicked.connect(lambda: self._tell(True))
        for widget in (Field("Machine", self.machine), self.last, self.counts, self.reset_button):
            self.left.addWidget(widget)
        self.reset_button.hide()
        self.machine.picked_changed.connect(lambda _one: self._show())
        self.keypad.typed.connect(self._show)
        self.entered.connect(lambda _number: self._tell(None))
        self._show()

    def ask_reset(self, error: CounterLower) -> None:
        """The number is lower than before: only a person knows why."""
        self.set_error(str(error))
        self.reset_button.show()
        self.reset_button.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _show(self) -> None:
        self.set_error("")
        self.reset_button.hide()
        counter = self._counters.get(self.machine.chosen)
        self.last.set_value(counter.last_words if counter else "")
        self.counts.setText(aids_words(counter) if counter else "")
        self.confirm_button.setEnabled(counter is not None and self.number is not None)

    def _tell(self, was_reset: bool | None) -> None:
        counter, number = self._counters.get(self.machine.chosen), self.number
        if counter is not None and number is not None:
            self.told.emit(counter, number, was_reset)


def aids_words(counter: MachineCounter) -> str:
    """Which aids a counter counts."""
    if not counter.tags:
        return "No aid is counted by it."
    more = len(counter.tags) - TAGS_SHOWN
    rest = f" and {more} more" if more > 0 else ""
    return f"Counts {', '.join(counter.tags[:TAGS_SHOWN])}{rest}."
