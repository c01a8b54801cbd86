"""The pattern book: the shop's own standard aids, their sizes and models."""

from dataclasses import dataclass
from enum import StrEnum

from printcrib.core.records import Record


class Reliability(StrEnum):
    """How sure the shop wants to be that the next aid is there in time."""

    CONSUMABLE = "consumable"
    NORMAL = "normal"
    LOCATING = "locating"


class Fineness(StrEnum):
    """How fine: fine for small features and close fits, rough when only time counts."""

    FINE = "fine"
    NORMAL = "normal"
    ROUGH = "rough"


STEP_MINUTES = 10
"""By hand for one finishing step of a request's copies; common practice, no source. The plan and what is
promised both count it."""


class CountedBy(StrEnum):
    """Where an aid's counts come from."""

    READING = "reading"
    PARTS = "parts"
    ADD = "add"
    CALENDAR = "calendar"


@dataclass(frozen=True, kw_only=True)
class Pattern(Record):
    """A shop standard (P-12).

    Attributes:
        kind: what it does: sets, covers, holds, labels, guides, stores, tries out.
        use_unit: what is counted ("clamp cycles", "holes", "days").
        expected_life: in use units, the shop's own guess until counts exist; None when unknown.
        days_in_service: fall-back life for aids nobody counts.
        finishing_steps: words of each step after take-off, in order.
        inserts: (insert key, how many) for one copy.
        safety_answers: ticked question ids; None when not answered.
        listed: False for the pattern "one-off" that carries requests from files and words.
    """

    number: int
    name: str
    kind: str = ""
    use_unit: str = "uses"
    counted_by: CountedBy = CountedBy.ADD
    uses_a_part: int = 1
    expected_life: int | None = None
    days_in_service: int | None = None
    reliability: Reliability = Reliability.NORMAL
    how_fine: Fineness = Fineness.NORMAL
    material_id: int | None = None
    colour: str = ""
    finishing_steps: tuple[str, ...] = ()
    inserts: tuple[tuple[int, int], ...] = ()
    safety_answers: tuple[int, ...] | None = None
    take_out_before_start: bool = False
    listed: bool = True
    notes: str = ""

    @property
    def tag(self) -> str:
        """How people name it."""
        return f"P-{self.number}"

    @property
    def finishing_minutes(self) -> int:
        """By hand after take-off, until copies are ready."""
        return STEP_MINUTES * len(self.finishing_steps)


@dataclass(frozen=True, kw_only=True)
class Size(Record):
    """One member of a pattern ("32 x 60") with its current model and its spares."""

    pattern_id: int
    name: str
    model_id: int | None = None
    minimum_spares: int = 0
    shelf_place: str = ""
    count_limit: int | None = None
    active: bool = True


@dataclass(frozen=True, kw_only=True)
class Model(Record):
    """One model file as given; a new file is a new revision, never a replacement.

    Attributes:
        revision: letter A, B, ... within the size. sha256: the stored file.
        unit_scale: factor from the file's numbers to millimetres (25.4 for inches).
        turn: index of the right-angled turn it is printed in; 0 as given.
        extents_mm: width, depth, height after scale, before turn.
        findings: (code, words) pairs of what the reader saw.
        doubt: how far an estimate may be off; see ``ModelFacts``.
        mended: what the tool did to an earlier revision to make this file ("scaled x 25.4 from revision
            A"); "" for a file as given.
    """

    size_id: int
    revision: str
    sha256: str
    file_name: str
    file_kind: str
    unit_scale: float = 1.0
    turn: int = 0
    triangles: int = 0
    volume_cm3: float = 0.0
    extents_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)
    findings: tuple[tuple[str, str], ...] = ()
    trustworthy: bool = True
    source: str = ""
    licence: str = ""
    doubt: float = 0.0
    mended: str = ""


@dataclass(frozen=True, kw_only=True)
class Estimate(Record):
    """Minutes, grams and cost of one copy on one printer and nozzle, as the tool computed it.

    Attributes:
        part_minutes: without the start. start_minutes: heat-up, first line, purge, once a run.
        likely_minutes, at_most_minutes: a run with this one copy, start included.
        mg: filament of that run, start purge included. part_mg: without it.
        cost_thousandths: None without prices.
        tier: 1 from layers alone, answered at once; 2 from paths, worked out later.
        busy_minutes: of the part's minutes, those the nozzle moves. cooling_minutes: those its layers wait
            to cool; the rest is changing layers. Both 0 where they are not known.
    """

    model_id: int
    printer_id: int
    bore_um: int
    material_id: int
    settings_hash: str
    part_minutes: float
    start_minutes: float
    likely_minutes: float
    at_most_minutes: float
    part_mg: int
    mg: int
    cost_thousandths: int | None = None
    layers: int = 0
    tier: int = 1
    busy_minutes: float = 0.0
    cooling_minutes: float = 0.0
