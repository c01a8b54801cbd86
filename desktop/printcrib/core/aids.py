"""Aids in service and the counting of their use."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from printcrib.core.patterns import CountedBy
from printcrib.core.records import Record


class AidState(StrEnum):
    """Where an aid is."""

    SHELF = "shelf"
    IN_USE = "in use"
    ASIDE = "aside"
    RETIRED = "retired"


class RetireReason(StrEnum):
    """Why an aid left service."""

    WORN_OUT = "worn out"
    BROKEN = "broken"
    LOST = "lost"
    NOT_NEEDED = "not needed"
    REPLACED_EARLY = "replaced early"


@dataclass(frozen=True, kw_only=True)
class Aid(Record):
    """T-0412: a good copy for use.

    Attributes:
        since: when it went into its present state. in_use_since: first handed out.
        counted_by, uses_a_part: set when handed out. limit: set by a check, else the size's
            count limit, else the pattern's expected life.
        aside_why: why it was set aside; checked_at: when it was last checked.
    """

    number: int
    copy_id: int
    request_id: int
    size_id: int
    model_id: int | None = None
    label: str = ""
    state: AidState = AidState.SHELF
    machine_id: int | None = None
    since: datetime | None = None
    in_use_since: datetime | None = None
    counted_by: CountedBy = CountedBy.ADD
    uses_a_part: int = 1
    limit: int | None = None
    aside_why: str = ""
    checked_at: datetime | None = None
    retired_reason: RetireReason | None = None
    retired_at: datetime | None = None
    place: str = ""

    @property
    def tag(self) -> str:
        """What is printed on its tag."""
        return f"T-{self.number:04d}"


class UseKind(StrEnum):
    """How a count was told."""

    READING = "reading"
    PARTS = "parts"
    ADD = "add"
    CORRECTION = "correction"
    SAME_AS_USUAL = "same as usual"
    OPPOSED = "opposed"


class Sure(StrEnum):
    """Whether somebody counted or the tool assumed."""

    COUNTED = "counted"
    ASSUMED = "assumed"


@dataclass(frozen=True, kw_only=True)
class UseEntry(Record):
    """One booking of use on an aid, in the pattern's use unit; never changed, only opposed."""

    aid_id: int
    kind: UseKind
    amount: int
    who_id: int
    counted_from: datetime | None = None
    counted_to: datetime | None = None
    sure: Sure = Sure.COUNTED
    opposes_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class Machine(Record):
    """One machine of the shop that aids are used at."""

    name: str
    active: bool = True


@dataclass(frozen=True, kw_only=True)
class MachineReading(Record):
    """A reading of a machine's part counter; one reading serves every aid counted there."""

    machine_id: int
    counter: int
    who_id: int
    counter_reset: bool = False
