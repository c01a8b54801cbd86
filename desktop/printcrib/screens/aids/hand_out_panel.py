"""Hand out an aid: which machine, how its use is counted there, and what comes off for it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import Qt, Signal

from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.screens.aids.forms import OLD_ONES, first_form, needs_answer, old_at, to_of
from printcrib.screens.aids.words import COUNTED_WORDS
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.figure_field import FigureButton
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.services.look_at_hand_out import HandOutChoices

NOTHING = "0"
MOST_BUTTONS = 10
"""So many machines are buttons; more are a list."""


class HandOutPanel(AskPanel):
    """Everything is filled in as far as it is known, so that mostly one more press is enough.

    Args:
        choices: what can be chosen. now: the shop's wall time, for "really at".

    Signals:
        told(object): the To.
    """

    told = Signal(object)

    def __init__(self, choices: HandOutChoices, now: Callable[[], datetime]) -> None:
        verb = "Keep it so" if choices.moves else "Hand out"
        named = f"{choices.tag} {choices.name}"
        title = f"Where is {named} now?" if choices.moves else f"Hand out {named}"
        super().__init__(title, confirm=verb, icon="forward", width=1000, stays=True)
        self.choices = choices
        self.form = first_form(choices)
        self.machine = _machine_field(choices, str(self.form.machine_id or ""))
        self.old = PickField(says="what comes off")
        self.becomes = ChoiceRow(OLD_ONES, columns=4, says="what becomes of the old one")
        by = [(each.value, COUNTED_WORDS[each]) for each in COUNTED_WORDS]
        self.counted_by = ChoiceRow(
            by, chosen=self.form.counted_by.value, columns=4, says="how its use is counted"
        )
        self.uses = Stepper(self.form.uses_a_part, least=1, most=999, says="uses a part")
        self.counter = FigureButton(says="part counter now", nothing="Not read")
        self.really_at = ReallyAt(now)
        self._lay_fields()
        if isinstance(self.machine, PickField):
            self.machine.picked_changed.connect(self._on_machine)
        else:
            self.machine.chosen_changed.connect(self._on_machine)
        self.old.picked_changed.connect(self._on_old)
        self.becomes.chosen_changed.connect(lambda one: self._set(becomes=one))
        self.counted_by.chosen_changed.connect(lambda one: self._set(counted_by=CountedBy(one)))
        self.uses.value_changed.connect(lambda value: self._set(uses_a_part=value))
        self.counter.figure_changed.connect(lambda figure: self._set(counter=int(figure)))
        self.confirmed.connect(self._on_told)
        self._offer_old()
        self._show()

    def focus_first(self) -> None:
        if needs_answer(self.form):
            super().focus_first()
        else:
            self.confirm_button.setFocus(Qt.FocusReason.OtherFocusReason)

    def refuse(self, error: ShopError) -> None:
        """Say above the buttons why it stays here."""
        self.set_error(str(error))

    def _lay_fields(self) -> None:
        self.machine_field = Field("To which machine", self.machine)
        self.old_field = Field("Takes the place of", self.old)
        self.becomes_field = Field("What becomes of the old one", self.becomes)
        self.uses_field = Field("Uses a part", self.uses)
        self.counter_field = Field("Part counter now", self.counter)
        row = row_of(self.uses_field, self.counter_field, self.old_field, Field("When", self.really_at))
        row.addStretch(1)
        self.body.addWidget(self.machine_field)
        self.body.addWidget(Field("How its use is counted", self.counted_by))
        self.body.addLayout(row)
        self.body.addWidget(self.becomes_field)
        self.body.addStretch(1)

    def _on_machine(self, chosen: str) -> None:
        there = old_at(self.choices, int(chosen))
        swap_id = there[0].aid_id if there and not self.choices.moves else None
        self._set(machine_id=int(chosen), swap_id=swap_id, becomes="")
        self._offer_old()

    def _on_old(self, chosen: str) -> None:
        self._set(swap_id=None if chosen == NOTHING else int(chosen), becomes="")

    def _offer_old(self) -> None:
        there = old_at(self.choices, self.form.machine_id)
        picks = [Pick(str(each.aid_id), each.tag) for each in there]
        picks.append(Pick(NOTHING, "Nothing comes off"))
        self.old.set_picks(picks, str(self.form.swap_id or NOTHING))

    def _set(self, **told: object) -> None:
        self.form = replace(self.form, **told)  # type: ignore[arg-type]
        self.set_error("")
        self._show()

    def _show(self) -> None:
        form = self.form
        self.old_field.setVisible(bool(old_at(self.choices, form.machine_id)))
        self.becomes_field.setVisible(form.swap_id is not None)
        self.becomes.set_chosen(form.becomes or None)
        self.uses_field.setVisible(form.asks_uses)
        self.counter_field.setVisible(form.asks_counter)
        self._clear_errors(self.machine_field, self.becomes_field)

    def _clear_errors(self, *fields: Field) -> None:
        for field in fields:
            field.set_error("")

    def _on_told(self) -> None:
        try:
            to = to_of(self.form, self.choices)
        except ShopError as error:
            field = self.machine_field if self.form.machine_id is None else self.becomes_field
            field.set_error(str(error))
            return
        self.told.emit(to)


def _machine_field(choices: HandOutChoices, chosen: str) -> ChoiceRow | PickField:
    """Machines as buttons, or as a list that narrows where there are many."""
    if len(choices.machines) <= MOST_BUTTONS:
        named = [(str(key), name) for key, name in choices.machines]
        return ChoiceRow(named, chosen=chosen or None, columns=min(len(named), 5), says="machine")
    picks = [Pick(str(key), name) for key, name in choices.machines]
    return PickField(says="machine", picks=picks, chosen=chosen, nothing="Choose the machine")
