"""The shop itself: its hours, its numbers and its habits."""

from dataclasses import dataclass
from datetime import datetime

from printcrib.core.records import Record


@dataclass(frozen=True, kw_only=True)
class Shift(Record):
    """A weekly stretch of wall time with somebody in; Monday is 0, times are "07:00"."""

    weekday: int
    opens: str
    closes: str


@dataclass(frozen=True, kw_only=True)
class ClosedDay(Record):
    """A day ("2026-12-25") on which nobody is in."""

    day: str
    words: str = ""


@dataclass(frozen=True, kw_only=True)
class ShopSettings(Record):
    """The one record of how this shop works.

    Attributes:
        zone: IANA name. currency: shown beside money.
        clear_minutes, nozzle_minutes, material_minutes: hands-on set-ups.
        purge_mg: filament lost at a material or colour change.
        gap_mm: between copies on a platform. fill_limit: share of the platform a run may use.
        safety_minutes: a run should end so long before a shift ends.
        hands_on_rate_thousandths: cost of an hour by hand; None when not told.
        late_cost, setup_cost, makespan_cost: exchange rates of the planner.
        tail_mg: what never comes off a spool.
        is_demo: the shop of our own invention.
    """

    name: str
    zone: str = "Europe/Vienna"
    currency: str = "EUR"
    clear_minutes: int = 3
    nozzle_minutes: int = 12
    material_minutes: int = 4
    purge_mg: int = 1500
    gap_mm: float = 5.0
    fill_limit: float = 0.75
    safety_minutes: int = 0
    persons: int = 1
    hands_on_rate_thousandths: int | None = None
    late_cost: int = 1000
    setup_cost: int = 20
    makespan_cost: int = 1
    tail_mg: int = 8000
    is_demo: bool = False


@dataclass(frozen=True, kw_only=True)
class Duty(Record):
    """A lease so that a task of the tool is done by one window or server, once."""

    name: str
    holder: str
    until: datetime
    done_for: str = ""


@dataclass(frozen=True, kw_only=True)
class Attachment(Record):
    """A file the shop keeps, named by its SHA-256."""

    sha256: str
    bytes: int
    kind: str
