"""All that can be done at one printer, and a run by hand told in two presses."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy

from printcrib.screens.desk.picks import key_of, nozzle_picks, spool_picks
from printcrib.screens.desk.words import free_again_choices, grams_left_words
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Hairline
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import PickField, PickPanel
from printcrib.screens.parts.really_at import ReallyAt, clock_of
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_desk import DeskPrinter
from printcrib.services.look_at_start import OnPrinter

COLUMNS = 3
EMPTY, RESTS = "empty", "rests"


class ByHand:
    """What a person says of a run by hand."""

    def __init__(self, free_again_at: datetime, spool_id: int | None = None, name: str = "") -> None:
        self.free_again_at, self.spool_id, self.name = free_again_at, spool_id, name


class PrinterPanel(AskPanel):
    """One printer: what can be done here now.

    Signals:
        wanted(str): "serve", "take off", "start", "stop", "fit", "load", "3mf", "folder", "run sheet".
        by_hand_told(object, object): a ByHand, and when it really was (None for now).
    """

    wanted = Signal(str)
    by_hand_told = Signal(object, object)

    def __init__(
        self, row: DeskPrinter, choices: OnPrinter, now: Callable[[], datetime], *, served: bool
    ) -> None:
        super().__init__(row.printer.name, sentence=_facts(row), width=1040, stays=True)
        self._row, self._choices, self._now = row, choices, now
        self.buttons: dict[str, Button] = {}
        self.times: dict[datetime, Button] = {}
        self._lay_acts(served)
        self.body.addWidget(Hairline())
        self.body.addWidget(
            Words("Something else is printing here? Run by hand, free again at about", weight="strong")
        )
        self._lay_times()

    def _lay_acts(self, served: bool) -> None:
        run, next_run = self._row.run, next(iter(self._row.next_runs), None)
        acts: list[tuple[str, str, bool]] = []
        if self._row.steps is not None and not served:
            acts.append(("serve", "Do next here", True))
        if run is not None:
            acts.append(("take off", f"Take off run {run.number}", True))
            acts.append(("stop", f"Stop run {run.number} early", not run.over))
        elif next_run is not None and next_run.number is not None:
            acts.append(("start", f"Start run {next_run.number}", True))
        acts.append(("fit", "Fit a nozzle", run is None))
        acts.append(("load", "Load a spool", run is None))
        wanted = run_to_save(self._row)
        if wanted is not None:
            acts.append(("3mf", f"Save run {wanted[1]} as one file", True))
            acts.append(("folder", f"Save run {wanted[1]} as a folder", True))
        acts.append(("run sheet", "See the run sheet", True))
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        for index, (one, words, able) in enumerate(acts):
            button = Button(words)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setEnabled(able)
            button.clicked.connect(lambda _down=False, what=one: self.wanted.emit(what))
            self.buttons[one] = button
            grid.addWidget(button, index // COLUMNS, index % COLUMNS)
        for column in range(COLUMNS):
            grid.setColumnStretch(column, 1)
        self.body.addLayout(grid)
        if run is not None:
            self.body.addWidget(Words("Nozzle and spool are changed once its run is off.", tone="second"))

    def _lay_times(self) -> None:
        now = self._now()
        zone = now.tzinfo
        closes, opens = self._choices.closes_at, self._choices.opens_next
        moments = free_again_choices(
            now,
            None if closes is None else closes.astimezone(zone),
            None if opens is None else opens.astimezone(zone),
        )
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        for moment in moments:
            button = Button(later_words(moment, now))
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, when=moment: self._tell(when))
            self.times[moment] = button
            row.addWidget(button)
        self.more_button = Button("Say more")
        self.more_button.setAccessibleName("Run by hand: say more")
        self.more_button.clicked.connect(self.open_more)
        row.addWidget(self.more_button)
        self.body.addLayout(row)

    def open_more(self) -> None:
        """Another time, its spool, its name, and when it really began."""
        panel = ByHandPanel(self._row, self._choices, self._now)
        panel.told.connect(self.by_hand_told)
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)
        self.more = panel

    def _tell(self, moment: datetime) -> None:
        self.by_hand_told.emit(ByHand(moment.astimezone(UTC)), None)


class ByHandPanel(AskPanel):
    """A run by hand with all there is to say.

    Signals:
        told(object, object): a ByHand, and when it really was (None for now).
    """

    told = Signal(object, object)

    def __init__(self, row: DeskPrinter, choices: OnPrinter, now: Callable[[], datetime]) -> None:
        super().__init__(f"Run by hand on {row.printer.name}", confirm="Book the run", width=900, stays=True)
        self._now = now
        self.minutes = Stepper(
            60,
            least=5,
            most=7 * 24 * 60,
            step=15,
            unit="min",
            says="free again in about, minutes",
            shown=self._free_words,
        )
        self.spool = PickField(
            says="spool on it",
            picks=spool_picks(choices.spools, nothing="Nobody looked"),
            nothing="Nobody looked",
        )
        self.name_field = TextField(says="what it is", example="may be left out")
        self.really_at = ReallyAt(now)
        self.body.addWidget(Field("Free again at about", self.minutes))
        self.body.addLayout(
            row_of(Field("Spool on it", self.spool), Field("What it is", self.name_field), stretch=(1, 1))
        )
        when = QHBoxLayout()
        when.addWidget(Words("Started", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(when)
        self.confirmed.connect(self._tell)

    def _moment(self, minutes: int) -> datetime:
        return self._now() + timedelta(minutes=minutes)

    def _free_words(self, minutes: int) -> str:
        return later_words(self._moment(minutes), self._now())

    def _tell(self) -> None:
        moment = self._moment(self.minutes.value).astimezone(UTC).replace(microsecond=0)
        said = ByHand(moment, key_of(self.spool.chosen), self.name_field.text())
        self.told.emit(said, self.really_at.moment)


class FitPanel(PickPanel):
    """Which nozzle is on the printer now."""

    def __init__(self, choices: OnPrinter) -> None:
        super().__init__(
            f"Fit a nozzle on {choices.printer.name}",
            nozzle_picks(choices.nozzles),
            confirm="This one is fitted",
            empty="No nozzle is free. Add one in Shop settings.",
        )


class LoadPanel(AskPanel):
    """Which spool is on the printer now, and whether the one that comes off is empty.

    Signals:
        told(int, bool, object): spool, whether the old one is empty, when it really was.
    """

    told = Signal(int, bool, object)

    def __init__(self, choices: OnPrinter, now: Callable[[], datetime]) -> None:
        super().__init__(
            f"Load a spool on {choices.printer.name}", confirm="This one is on it", width=860, stays=True
        )
        self.spool = PickField(says="spool", picks=spool_picks(choices.spools), nothing="Choose the spool")
        self.old = ChoiceRow([(RESTS, "Some is left on it"), (EMPTY, "It is empty")], chosen=RESTS)
        self.old.setAccessibleName("the spool that comes off")
        self.really_at = ReallyAt(now)
        self.body.addWidget(Field("On it now", self.spool))
        if choices.printer.mounted_spool_id is not None:
            self.body.addWidget(Field("The spool that comes off", self.old))
        when = QHBoxLayout()
        when.addWidget(Words("Done", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(when)
        self.confirm_button.setEnabled(False)
        self.spool.picked_changed.connect(lambda picked: self.confirm_button.setEnabled(bool(picked)))
        self.confirmed.connect(self._tell)

    def _tell(self) -> None:
        spool_id = key_of(self.spool.chosen)
        if spool_id is not None:
            self.told.emit(spool_id, self.old.chosen == EMPTY, self.really_at.moment)


def later_words(moment: datetime, now: datetime) -> str:
    """A time to come: "10:45", "Thu 07:00"."""
    local = moment.astimezone(now.tzinfo)
    return clock_of(local, now) if local.date() == now.date() else f"{local:%a %H:%M}"


def run_to_save(row: DeskPrinter) -> tuple[int, int] | None:
    """Key and number of the run whose files are wanted: the next one, else the one on it."""
    for each in row.next_runs:
        if each.run_id is not None and each.number is not None:
            return each.run_id, each.number
    if row.run is not None and row.run.copies:
        return row.run.run_id, row.run.number
    return None


def _facts(row: DeskPrinter) -> str:
    facts = [f"Nozzle {row.nozzle}, {row.nozzle_tag}" if row.nozzle else "No nozzle noted"]
    if row.spool is not None:
        facts.append(f"{row.spool.words}, {row.spool.tag}, {grams_left_words(row, wide=True)}")
    else:
        facts.append("no spool noted")
    if row.run is not None:
        facts.append(", ".join(part for part in (f"run {row.run.number}", row.run.side) if part))
    return " · ".join(facts)
