"""What a person fills in at a take-off and at a start, without any widget."""

from dataclasses import dataclass, field

from printcrib.core.materials import Source
from printcrib.core.requests import Purpose
from printcrib.core.runs import RunOrigin
from printcrib.core.units import grams_words
from printcrib.services.give_print_file import RunFile
from printcrib.services.judge_copies import NOT_KNOWN, Outcome, Verdict
from printcrib.services.keep_by_hand import KeptByHand
from printcrib.services.look_at_run import RunCopy, RunPage
from printcrib.services.look_at_start import BeforeStart, SpoolChoice
from printcrib.services.start_run import Start
from printcrib.services.take_off_run import TakeOff


@dataclass
class Figure:
    """A number and where it was read; assumed means that nobody told it."""

    value: int
    source: Source = Source.ASSUMED

    @property
    def told(self) -> int | None:
        """The number, if somebody read it somewhere."""
        return None if self.source is Source.ASSUMED else self.value


@dataclass
class Verdicts:
    """Good, failed or to check for every copy; the cause of one failed copy counts for those without.

    Attributes:
        copies: those to judge. outcomes, causes: by copy key.
    """

    copies: tuple[RunCopy, ...]
    outcomes: dict[int, Outcome] = field(default_factory=dict)
    causes: dict[int, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.outcomes = {copy.copy_id: self.outcomes.get(copy.copy_id, Outcome.GOOD) for copy in self.copies}

    @property
    def failed(self) -> tuple[RunCopy, ...]:
        """The copies said to have failed."""
        return tuple(copy for copy in self.copies if self.outcomes[copy.copy_id] is Outcome.FAILED)

    @property
    def all_lost(self) -> bool:
        """Whether nothing good is left of the run."""
        return bool(self.copies) and len(self.failed) == len(self.copies)

    def judge(self, copy_id: int, outcome: Outcome) -> None:
        """One copy."""
        self.outcomes[copy_id] = outcome

    def judge_all(self, outcome: Outcome) -> None:
        """Every copy the same."""
        self.outcomes = dict.fromkeys(self.outcomes, outcome)

    def name_cause(self, copy_id: int, cause: str) -> None:
        """Why a copy failed; the others that failed without a cause failed of it too."""
        self.causes[copy_id] = cause
        for copy in self.failed:
            if self.cause_of(copy.copy_id) == NOT_KNOWN:
                self.causes[copy.copy_id] = cause

    def cause_of(self, copy_id: int) -> str:
        """The cause named for a copy, "not known yet" while nobody did."""
        return self.causes.get(copy_id, NOT_KNOWN)

    def told(self) -> dict[int, Verdict]:
        """As the books want it."""
        return {
            key: Verdict(outcome, self.cause_of(key)) if outcome is Outcome.FAILED else Verdict(outcome)
            for key, outcome in self.outcomes.items()
        }

    @property
    def words(self) -> str:
        """ "3 good, 1 failed"."""
        counts = [(outcome, sum(each is outcome for each in self.outcomes.values())) for outcome in Outcome]
        return ", ".join(f"{count} {outcome}" for outcome, count in counts if count)


@dataclass
class TakeOffForm:
    """A run coming off its printer.

    Attributes:
        percent: how far it got, None for nobody knows. spool_id: what a run by hand used.
        keeps: something of a run by hand is kept, named by `words`.
    """

    page: RunPage
    verdicts: Verdicts = field(init=False)
    minutes: Figure = field(init=False)
    grams: Figure = field(init=False)
    percent: int | None = None
    spool_id: int | None = None
    keeps: bool = False
    words: str = ""
    quantity: int = 1
    purpose: Purpose = Purpose.FOR_USE

    def __post_init__(self) -> None:
        run = self.page.run
        stopped = run.stopped_at is not None
        begin = Outcome.FAILED if stopped else Outcome.GOOD
        copies = self.page.copies
        self.verdicts = Verdicts(copies, dict.fromkeys((copy.copy_id for copy in copies), begin))
        self.minutes = Figure(round(self.page.minutes))
        self.grams = Figure(round(self.page.mg / 1000))
        self.percent = None if run.stopped_at_percent is None else round(run.stopped_at_percent)
        self.spool_id = run.spool_ids[0] if run.spool_ids else None
        self.words = run.name

    @property
    def by_hand(self) -> bool:
        """Nobody planned it: what it was is asked now."""
        return self.page.run.origin is RunOrigin.BY_HAND

    @property
    def asks_how_far(self) -> bool:
        """Where all of it failed, how far it got tells what was lost."""
        return self.verdicts.all_lost

    def told(self) -> TakeOff:
        """As the books want it."""
        grams = self.grams.told
        kept = None
        if self.by_hand and self.keeps:
            kept = KeptByHand(words=self.words, quantity=self.quantity, purpose=self.purpose)
        return TakeOff(
            verdicts=self.verdicts.told() if self.page.copies else None,
            minutes=self.minutes.told,
            minutes_source=self.minutes.source,
            mg=None if grams is None else grams * 1000,
            grams_source=self.grams.source,
            percent=self.percent if self.asks_how_far else None,
            spool_id=self.spool_id if self.by_hand else None,
            kept=kept,
        )


@dataclass(frozen=True)
class Offer:
    """What would do instead of too few grams: a press that says it, and the spools it names."""

    words: str
    spool_id: int
    second_spool_id: int | None


@dataclass
class StartForm:
    """A run about to start: what is really on the printer, minutes and grams as read.

    Attributes:
        file: the print file it is printed from, once one was read.
    """

    before: BeforeStart
    nozzle_id: int | None = field(init=False)
    spool_id: int | None = field(init=False)
    second_spool_id: int | None = None
    minutes: Figure = field(init=False)
    grams: Figure = field(init=False)
    file: RunFile | None = None

    def __post_init__(self) -> None:
        self.nozzle_id, self.spool_id = self.before.nozzle_id, self.before.spool_id
        self.minutes = Figure(round(self.before.minutes))
        self.grams = Figure(round(self.before.mg / 1000))

    @property
    def need_mg(self) -> int:
        """What the run takes, the purge of another spool included."""
        told = self.grams.told
        purge = self.before.need_mg - self.before.mg
        return self.before.need_mg if told is None else told * 1000 + purge

    @property
    def short_mg(self) -> int:
        """How much is missing on the spools named."""
        have = sum(spool.usable_mg for spool in (self.spool, self._spool(self.second_spool_id)) if spool)
        return max(self.need_mg - have, 0)

    @property
    def spool(self) -> SpoolChoice | None:
        """The spool named."""
        return self._spool(self.spool_id)

    def offers(self) -> tuple[Offer, ...]:
        """What would do, when the spool named has too few grams; the smallest rest that is enough first."""
        if self.spool_id is None or not self.short_mg:
            return ()
        have = self.spool.usable_mg if self.spool else 0
        others = [s for s in self.before.choices.spools if s.will_do and s.spool_id != self.spool_id]
        others.sort(key=lambda spool: spool.usable_mg)
        alone = next((spool for spool in others if spool.usable_mg >= self.need_mg), None)
        second = next((spool for spool in others if spool.usable_mg + have >= self.need_mg), None)
        found = []
        if second is not None:
            words = f"{second.tag} goes on after it ({grams_words(second.usable_mg)})"
            found.append(Offer(words, self.spool_id, second.spool_id))
        if alone is not None:
            words = f"Load {alone.tag} instead ({grams_words(alone.usable_mg)})"
            found.append(Offer(words, alone.spool_id, None))
        return tuple(found)

    def take(self, offer: Offer) -> None:
        """Name the spools of an offer."""
        self.spool_id, self.second_spool_id = offer.spool_id, offer.second_spool_id

    def take_file(self, file: RunFile) -> None:
        """Minutes and grams are those of a print file."""
        self.file = file
        self.minutes = Figure(round(file.minutes), Source.FILE)
        self.grams = Figure(round(file.mg / 1000), Source.FILE)

    def told(self) -> Start:
        """As the books want it; a figure of the print file that nobody changed is told to its last digit."""
        minutes: float | None = self.minutes.told
        mg = None if self.grams.told is None else self.grams.told * 1000
        if self.file is not None:
            if self.minutes == Figure(round(self.file.minutes), Source.FILE):
                minutes = self.file.minutes
            if self.grams == Figure(round(self.file.mg / 1000), Source.FILE):
                mg = self.file.mg
        return Start(
            spool_id=self.spool_id,
            second_spool_id=self.second_spool_id,
            nozzle_id=self.nozzle_id,
            minutes=minutes,
            minutes_source=self.minutes.source,
            mg=mg,
            grams_source=self.grams.source,
            print_file_sha="" if self.file is None else self.file.sha256,
        )

    def _spool(self, spool_id: int | None) -> SpoolChoice | None:
        return next((s for s in self.before.choices.spools if s.spool_id == spool_id), None)
