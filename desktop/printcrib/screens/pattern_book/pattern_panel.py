"""A pattern to fill in: what it is, how it is printed, how long it lasts, and the ten questions."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Signal

from printcrib.core.materials import Material
from printcrib.core.patterns import CountedBy, Fineness, Pattern, Reliability
from printcrib.core.safety import ASKED_AS, LAST_WORD, NONE_OF_THESE, QUESTIONS
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField, TickList
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words

_COUNTED = (
    (CountedBy.ADD, "Plus buttons"),
    (CountedBy.PARTS, "Parts made"),
    (CountedBy.READING, "Part counter"),
    (CountedBy.CALENDAR, "Calendar"),
)
_CLASSES = (
    (Reliability.CONSUMABLE, "Consumable"),
    (Reliability.NORMAL, "Normal"),
    (Reliability.LOCATING, "Locating or holding"),
)
_YES, _NO, _ANY = "yes", "no", "0"


class PatternPanel(AskPanel):
    """A new pattern, or one to change; only the name is needed.

    Signals:
        told(object): the Pattern as filled in.
    """

    told = Signal(object)

    def __init__(self, pattern: Pattern | None, materials: Sequence[Material]) -> None:
        title = "A new pattern" if pattern is None else f"Change {pattern.tag} {pattern.name}"
        super().__init__(title, confirm="Keep it", width=980, stays=True)
        self._pattern = pattern or Pattern(number=0, name="")
        told = self._pattern
        self.name = TextField(told.name, says="Name", example="spindle stop")
        self.kind = TextField(told.kind, says="What it does", example="covers, holds, sets, guides")
        self.fine = ChoiceRow([(each.value, each.value) for each in Fineness], chosen=told.how_fine.value)
        picks = [Pick(_ANY, "Any material"), *(Pick(str(each.id), each.name) for each in materials)]
        self.material = PickField(says="Material", picks=picks, chosen=str(told.material_id or 0))
        self.colour = TextField(told.colour, says="Colour")
        self.unit = TextField(told.use_unit, says="What is counted", example="clamp cycles")
        self.counted = ChoiceRow(
            [(each.value, words) for each, words in _COUNTED], chosen=told.counted_by.value
        )
        self.uses = Stepper(told.uses_a_part, least=1, most=1000, step=1, says="Uses a part")
        self.life = Stepper(told.expected_life or 0, least=0, most=1_000_000, step=10, says="Expected life")
        self.days = Stepper(told.days_in_service or 0, least=0, most=3650, step=5, unit="days", says="Days")
        self.reliability = ChoiceRow(
            [(each.value, words) for each, words in _CLASSES], chosen=told.reliability.value
        )
        self.take_out = ChoiceRow(
            [(_YES, "Yes"), (_NO, "No")], chosen=_YES if told.take_out_before_start else _NO
        )
        self.steps = NotesField("\n".join(told.finishing_steps), says="Finishing steps", lines=3)
        self.safety = TickList(
            [(str(each.id), each.words) for each in QUESTIONS], says=ASKED_AS, none_words=NONE_OF_THESE
        )
        if told.safety_answers is not None:
            ticked = frozenset(str(each) for each in told.safety_answers)
            self.safety.set_ticked(ticked, none=not ticked)
        self.name_field = Field("Name", self.name)
        self._lay()
        self.confirmed.connect(self._on_told)

    def _lay(self) -> None:
        life = "Expected life, 0 if not known"
        for left, right in (
            (self.name_field, Field("What it does", self.kind)),
            (Field("Material", self.material), Field("Colour", self.colour)),
            (Field("What is counted", self.unit), Field("Uses a part", self.uses)),
            (Field(life, self.life), Field("Or days in service, 0 if not known", self.days)),
        ):
            self.body.addLayout(row_of(left, right, stretch=(1, 1)))
        for field in (
            Field("How fine", self.fine),
            Field("Counted by", self.counted),
            Field("How sure the next one must be there in time", self.reliability),
            Field("Take it out before the machine starts", self.take_out),
            Field("Finishing steps, one a line", self.steps),
        ):
            self.body.addWidget(field)
        self.body.addWidget(Words(ASKED_AS, weight="strong", wrap=True))
        self.body.addWidget(self.safety)
        self.body.addWidget(
            Words(
                f"Changed answers let the releases of its sizes lapse. {LAST_WORD}", tone="second", wrap=True
            )
        )

    def _on_told(self) -> None:
        if not self.name.text().strip():
            self.name_field.set_error("Type a name.")
            self.name.setFocus()
            return
        self.name_field.set_error("")
        self.told.emit(self.filled())

    def filled(self) -> Pattern:
        """The pattern as filled in now."""
        answers = None
        if self.safety.answered:
            answers = tuple(sorted(int(each) for each in self.safety.ticked))
        return replace(
            self._pattern,
            name=self.name.text().strip(),
            kind=self.kind.text().strip(),
            how_fine=Fineness(self.fine.chosen or Fineness.NORMAL),
            material_id=int(self.material.chosen or 0) or None,
            colour=self.colour.text().strip(),
            use_unit=self.unit.text().strip(),
            counted_by=CountedBy(self.counted.chosen or CountedBy.ADD),
            uses_a_part=self.uses.value,
            expected_life=self.life.value or None,
            days_in_service=self.days.value or None,
            reliability=Reliability(self.reliability.chosen or Reliability.NORMAL),
            take_out_before_start=self.take_out.chosen == _YES,
            finishing_steps=tuple(filter(None, map(str.strip, self.steps.toPlainText().splitlines()))),
            safety_answers=answers,
        )
