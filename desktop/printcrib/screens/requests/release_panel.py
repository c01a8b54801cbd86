"""A reviewer releases a size and revision: for which material, nozzles, machine, limits, and until when."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from PySide6.QtCore import Signal

from printcrib.core.calendar import day_words
from printcrib.core.people import Person, Role
from printcrib.core.safety import LAST_WORD, PRESSURE, TURNS_WITH_SPINDLE, question_words
from printcrib.core.units import bore_text
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField, TickList
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.act_panels import ActPanel
from printcrib.screens.requests.needed import at_wall, day_and_minutes
from printcrib.services.look_at_form import FormChoices
from printcrib.services.look_at_request import RequestPage
from printcrib.services.release_use import Outside, Terms

UNTIL = (("90", "3 months"), ("183", "6 months"), ("365", "1 year"), ("0", "No end"))
OWN, OUTSIDE = "own", "outside"


class ReleasePanel(ActPanel):
    """Asks for the conditions of a release.

    Signals:
        given(object): the Terms.
    """

    given = Signal(object)

    def __init__(
        self, page: RequestPage, choices: FormChoices, who: Person, now: datetime, zone: ZoneInfo
    ) -> None:
        revision = f" revision {page.model.revision}" if page.model else ""
        super().__init__(
            f"Release {page.row.what}{revision} for use",
            confirm="Release it",
            sentence=f"It may: {question_words(page.gate.holds)}. Asked by {page.row.asker}.",
            stays=True,
            width=1060,
        )
        self._page, self._now, self._zone = page, now, zone
        self.materials = _ticks(_materials(page, choices), "materials")
        self.nozzles = TickList(
            [(str(bore), bore_text(bore)) for bore in choices.bores_um],
            columns=max(2, len(choices.bores_um)),
            says="nozzles",
            holding=False,
        )
        self.machines = _ticks(choices.machines, "machines", none_words="Any machine")
        self.speed = Stepper(0, least=0, most=20_000, step=50, unit="rpm", says="top speed")
        self.pressure = TextField(says="pressure limit", example="2 bar, air only")
        self.conditions = NotesField(says="conditions", example="dry cutting only; check weekly", lines=2)
        self.until = ChoiceRow(UNTIL, chosen="183", says="until when")
        self.reviewer = ChoiceRow(
            [(OWN, f"{who.name} releases it"), (OUTSIDE, "A reviewer from outside did")], says="who releases"
        )
        today, _ = day_and_minutes(now, zone)
        self.outside_name = TextField(says="name of the reviewer from outside", example="name and office")
        self.outside_day = Stepper(
            0,
            least=0,
            most=60,
            says="day",
            shown=lambda ago: day_words(today - timedelta(days=ago), today.year),
        )
        self.outside_words = NotesField(says="what they said", lines=2)
        self._today = today
        self._begin(who)
        self._put_fields(who)
        self.confirmed.connect(self._give)

    def _begin(self, who: Person) -> None:
        request = self._page.request
        if request.material_id is not None:
            self.materials.set_ticked(frozenset({str(request.material_id)}))
        bores = {request.bore_um} if request.bore_um else {int(key) for key in self.nozzles.buttons}
        self.nozzles.set_ticked(frozenset(str(bore) for bore in bores))
        if request.machine_id is not None:
            self.machines.set_ticked(frozenset({str(request.machine_id)}))
        self.reviewer.set_chosen(OWN if who.may(Role.REVIEWER) else OUTSIDE)

    def _put_fields(self, who: Person) -> None:
        holds = self._page.gate.holds
        fields = [
            Field("Printed from", self.materials),
            Field("With nozzle", self.nozzles),
            Field("On machine", self.machines),
        ]
        if TURNS_WITH_SPINDLE in holds:
            fields.append(Field("Top speed, in writing", self.speed))
        if PRESSURE in holds:
            fields.append(Field("Pressure limit, in writing", self.pressure))
        fields += [Field("Other conditions", self.conditions), Field("Until", self.until)]
        for field in fields:
            self.body.addWidget(field)
        self._outside = [
            Field("Name of the reviewer from outside", self.outside_name),
            Field("On", self.outside_day),
            Field("In these words", self.outside_words),
        ]
        reviewer = Field("Who releases", self.reviewer)
        for field in (reviewer, *self._outside):
            self.body.addWidget(field)
        reviewer.setVisible(who.may(Role.LEAD))
        self.reviewer.chosen_changed.connect(lambda _one: self._arrange())
        self._arrange()
        caution = Card(ground="signal", padding=12, spacing=2)
        for each in self._page.cautions:
            caution.add(Words(each.words, wrap=True))
        caution.add(Words(LAST_WORD, weight="strong", wrap=True))
        self.body.addWidget(caution)

    def _arrange(self) -> None:
        for field in self._outside:
            field.setVisible(self.reviewer.chosen == OUTSIDE)

    def _give(self) -> None:
        if not self.materials.ticked or not self.nozzles.ticked:
            self.set_error("Name at least one material and one nozzle it may be printed with.")
            return
        self.given.emit(self.terms())

    def terms(self) -> Terms:
        """What is filled in."""
        return Terms(
            material_ids=_keys(self.materials),
            bores_um=_keys(self.nozzles),
            machine_ids=_keys(self.machines),
            top_speed_rpm=self.speed.value or None,
            pressure_limit=self.pressure.text(),
            conditions=self.conditions.text(),
            until=self._until(),
            outside=self._outside_reviewer(),
        )

    def _until(self) -> datetime | None:
        days = int(self.until.chosen or 0)
        if not days:
            return None
        return at_wall(self._today + timedelta(days=days), 0, self._zone).astimezone(UTC)

    def _outside_reviewer(self) -> Outside | None:
        if self.reviewer.chosen != OUTSIDE:
            return None
        return Outside(
            name=self.outside_name.text(),
            day=self._today - timedelta(days=self.outside_day.value),
            words=self.outside_words.text(),
        )


def _materials(page: RequestPage, choices: FormChoices) -> dict[int, str]:
    """What there are spools of, and what the request is made of."""
    wanted = {*choices.colours, page.request.material_id}
    return {key: name for key, name in choices.materials.items() if key in wanted}


def _ticks(names: Mapping[int, str], says: str, none_words: str = "") -> TickList:
    pairs = [(str(key), name) for key, name in names.items()]
    return TickList(pairs, columns=4, says=says, holding=False, none_words=none_words)


def _keys(ticks: TickList) -> tuple[int, ...]:
    return tuple(sorted(int(one) for one in ticks.ticked))
