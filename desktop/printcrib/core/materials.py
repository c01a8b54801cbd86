"""Materials, spools and inserts: what is on the rack."""

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from printcrib.core.records import Record


@dataclass(frozen=True, kw_only=True)
class Material(Record):
    """One kind of filament with its typical figures; the shop can edit all, sources are kept.

    Attributes:
        density: g/cm3. keep_below_c: the cautious service temperature.
        drying_c, drying_hours: how to dry it; None when it rarely needs drying.
        contact: what coolant and oil do to it, in words.
        source: where the figures come from.
    """

    name: str
    density: float
    density_source: str = "typical, no source; see the spool maker's sheet"
    keep_below_c: int | None = None
    softens_words: str = ""
    strength_words: str = ""
    nozzle_c_words: str = ""
    bed_c_words: str = ""
    drying_words: str = ""
    drying_c: int | None = None
    drying_hours: float | None = None
    contact: str = ""
    abrasive: bool = False
    price_per_kg_thousandths: int | None = None
    source: str = "typical, no source; see the spool maker's sheet"
    active: bool = True


class SpoolState(StrEnum):
    """Where a spool is in its life."""

    SEALED = "sealed"
    SHELF = "shelf"
    DRYER = "dryer"
    ON_PRINTER = "on printer"
    EMPTY = "empty"
    GONE = "gone"


@dataclass(frozen=True, kw_only=True)
class Spool(Record):
    """One reel of filament (S-118) with its own ledger.

    Attributes:
        nominal_mg: net filament when received, by the label.
        tare_mg: weight of the empty reel; None when not known. tare_guessed: a guess is a guess.
        price_thousandths: what the whole spool cost; None when not told.
        dryer_until: in the dryer until then.
    """

    number: int
    material_id: int
    colour: str
    lot: str = ""
    nominal_mg: int = 1_000_000
    tare_mg: int | None = None
    tare_guessed: bool = True
    density: float | None = None
    density_source: str = ""
    price_thousandths: int | None = None
    state: SpoolState = SpoolState.SHELF
    place: str = ""
    opened_at: datetime | None = None
    dried_at: datetime | None = None
    dryer_until: datetime | None = None
    damp: bool = False

    @property
    def tag(self) -> str:
        """How people name it."""
        return f"S-{self.number}"

    def put_on_printer(self, when: datetime) -> "Spool":
        """The spool on a printer from then on: opened; dried if it left the dryer after its time."""
        dried = self.dryer_until is not None and self.dryer_until <= when
        return replace(
            self,
            state=SpoolState.ON_PRINTER,
            opened_at=self.opened_at or when,
            dried_at=when if dried else self.dried_at,
            dryer_until=None,
        )


class SpoolEntryKind(StrEnum):
    """Why grams came or went."""

    RECEIVED = "received"
    PRINTED = "printed"
    PURGE = "purge"
    SCRAP = "scrap"
    WEIGHED = "weighed"
    ADJUSTED = "adjusted"
    THROWN_AWAY = "thrown away"
    OPPOSED = "opposed"


class Source(StrEnum):
    """Where a measured number comes from; a planned number never replaces a measured one."""

    WEIGHED = "weighed"
    PANEL = "panel"
    FILE = "file"
    WATCHED = "watched"
    ASSUMED = "assumed"


@dataclass(frozen=True, kw_only=True)
class SpoolEntry(Record):
    """One booking on a spool; never changed, only opposed.

    Attributes:
        mg: signed change of the filament left, milligrams (a weigh-in books the difference).
        gross_mg: what the scale showed, for a weigh-in.
    """

    spool_id: int
    kind: SpoolEntryKind
    mg: int
    who_id: int
    source: Source = Source.ASSUMED
    run_id: int | None = None
    gross_mg: int | None = None
    opposes_id: int | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class StockMinimum(Record):
    """The least filament of one material and colour the shop wants to have."""

    material_id: int
    colour: str
    minimum_mg: int


@dataclass(frozen=True, kw_only=True)
class Insert(Record):
    """Magnets, bushings, screws, threaded inserts kept for aids."""

    name: str
    minimum: int = 0
    maximum: int = 0
    price_thousandths: int | None = None
    active: bool = True


@dataclass(frozen=True, kw_only=True)
class InsertEntry(Record):
    """One booking of inserts: received, used in a copy, counted, opposed."""

    insert_id: int
    kind: str
    amount: int
    who_id: int
    copy_id: int | None = None
    opposes_id: int | None = None
