"""A pattern to fill in: what it is, how it is printed, how long it lasts, and the ten questions."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Signal

from printcrib.core.patterns import CountedBy, Fineness, Pattern, Reliability
from printcrib.core.safety import ASKED_AS, NONE_OF_THESE, QUESTIONS
from printcrib.screens.parts.cards import Card, Hairline
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField, TickList
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.edits import Choices
from printcrib.screens.pattern_book.form_panel import FormPanel
from printcrib.screens.pattern_book.inserts_field import InsertsField
from printcrib.screens.pattern_book.words import CLASSES, COUNTED, safety_end

_YES, _NO, _ANY = "yes", "no", "0"
LAPSE = "Changed answers let the releases of its sizes lapse."


class PatternPanel(FormPanel[Pattern]):
    """A new pattern, or one to change; only the name is needed.

    Signals:
        told(object, object): the Pattern as it was, and as it is filled in.
    """

    told = Signal(object, object)

    def __init__(self, pattern: Pattern, begun: Mapping[str, Any], choices: Choices) -> None:
        title = f"Change {pattern.tag} {pattern.name}" if pattern.id else "A new pattern"
        super().__init__(title, pattern, begun, width=980)
        self.name = TextField(says="Name", example="spindle stop")
        self.kind = TextField(says="What it does", example="covers, holds, sets, guides")
        self.fine = ChoiceRow([(each.value, each.value.capitalize()) for each in Fineness], says="How fine")
        picks = [Pick(_ANY, "Any material"), *(Pick(str(each.id), each.name) for each in choices.materials)]
        self.material = PickField(says="Material", picks=picks)
        self.colour = TextField(says="Colour", example="grey")
        self.steps = NotesField(says="Finishing steps", example="deburr", lines=3)
        self.inserts = InsertsField(choices.inserts)
        self.unit = TextField(says="What is counted", example="clamp cycles")
        self.counted = ChoiceRow([(each.value, words) for each, words in COUNTED], says="Counted by")
        self.uses = Stepper(1, least=1, most=1000, step=1, says="Uses a part")
        self.life = Stepper(0, least=0, most=1_000_000, step=10, says="Expected life", shown=_or_unknown)
        self.days = Stepper(0, least=0, most=3650, step=5, says="Days in service", shown=_or_unknown)
        self.reliability = ChoiceRow([(each.value, words) for each, words in CLASSES], says="Its class")
        self.take_out = ChoiceRow([(_YES, "Yes"), (_NO, "No")], says="Take it out before the start")
        self.safety = TickList(
            [(str(each.id), each.words) for each in QUESTIONS], says=ASKED_AS, none_words=NONE_OF_THESE
        )
        self.notes = NotesField(says="Notes", lines=2)
        self.name_field = Field("Name", self.name)
        self.end = Card(padding=16, ground="signal", spacing=4)
        self.end_words = Words("", weight="strong", wrap=True)
        self.end_further = Words("", wrap=True)
        self.steps.setMaximumHeight(130)
        self.notes.setMaximumHeight(100)
        self._lay()
        self.show_begun()
        self.safety.ticks_changed.connect(self._show_end)
        self.confirmed.connect(self._on_told)

    def filled(self) -> Pattern:
        """The pattern as filled in now."""
        return replace(
            self.base,
            name=self.name.text().strip(),
            kind=self.kind.text().strip(),
            how_fine=Fineness(self.fine.chosen or Fineness.NORMAL),
            material_id=int(self.material.chosen or _ANY) or None,
            colour=self.colour.text().strip(),
            use_unit=self.unit.text().strip() or self.base.use_unit,
            counted_by=CountedBy(self.counted.chosen or CountedBy.ADD),
            uses_a_part=self.uses.value,
            expected_life=self.life.value or None,
            days_in_service=self.days.value or None,
            reliability=Reliability(self.reliability.chosen or Reliability.NORMAL),
            take_out_before_start=self.take_out.chosen == _YES,
            finishing_steps=tuple(filter(None, map(str.strip, self.steps.text().splitlines()))),
            inserts=self.inserts.inserts,
            safety_answers=self._answers,
            notes=self.notes.text().strip(),
        )

    def show_record(self, pattern: Pattern) -> None:
        """Put a pattern into the controls."""
        self.name.setText(pattern.name)
        self.kind.setText(pattern.kind)
        self.fine.set_chosen(pattern.how_fine.value)
        self.material.set_chosen(str(pattern.material_id or _ANY))
        self.colour.setText(pattern.colour)
        self.steps.setPlainText("\n".join(pattern.finishing_steps))
        self.inserts.set_inserts(pattern.inserts)
        self.unit.setText(pattern.use_unit)
        self.counted.set_chosen(pattern.counted_by.value)
        self.uses.set_value(pattern.uses_a_part)
        self.life.set_value(pattern.expected_life or 0)
        self.days.set_value(pattern.days_in_service or 0)
        self.reliability.set_chosen(pattern.reliability.value)
        self.take_out.set_chosen(_YES if pattern.take_out_before_start else _NO)
        ticked = frozenset(str(each) for each in pattern.safety_answers or ())
        self.safety.set_ticked(ticked, none=pattern.safety_answers == ())
        self.notes.setPlainText(pattern.notes)
        self._show_end()

    @property
    def _answers(self) -> tuple[int, ...] | None:
        if not self.safety.answered:
            return None
        return tuple(sorted(int(each) for each in self.safety.ticked))

    def _show_end(self) -> None:
        """What the answers come to, as the request form says it."""
        told = safety_end(self._answers)
        lapse = LAPSE if self.base.id and self._answers != self.base.safety_answers else ""
        self.end_words.setText(told.words)
        self.end_words.set_tone("signal" if told.holds else "ink")
        self.end_further.setText(" ".join(part for part in (lapse, told.further) if part))
        self.end_further.setVisible(bool(self.end_further.text()))
        self.end.set_ground("signal" if told.holds else "sheet")

    def _lay(self) -> None:
        for part in (
            (self.name_field, Field("What it does", self.kind)),
            (Field("How fine", self.fine),),
            (Field("Material", self.material), Field("Colour", self.colour)),
            (Field("Finishing steps, one a line", self.steps), Field("Inserts of one copy", self.inserts)),
            (Hairline(),),
            (Field("What is counted", self.unit), Field("Uses a part", self.uses)),
            (Field("Counted by", self.counted),),
            (Field("Expected life", self.life), Field("Or days in service", self.days)),
            (Field("Its class: how early the next one is asked for", self.reliability),),
            (Field("Take it out before the machine starts", self.take_out),),
            (Hairline(),),
        ):
            self.body.addLayout(row_of(*part, stretch=(1,) * len(part)))
        self.body.addWidget(Words(ASKED_AS, weight="strong", wrap=True))
        self.body.addWidget(self.safety)
        self.end.add(self.end_words, self.end_further)
        self.body.addWidget(self.end)
        self.body.addWidget(Field("Notes", self.notes))

    def _on_told(self) -> None:
        named = bool(self.name.text().strip())
        self.name_field.set_error("" if named else "Type a name.")
        if named:
            self.told.emit(self.base, self.filled())
        else:
            self.name.setFocus()


def _or_unknown(number: int) -> str:
    return f"{number:,}" if number else "not known"
