"""What every record of the shop carries: its key, its version and its two times."""

from dataclasses import dataclass
from datetime import UTC, datetime

NOT_YET = datetime(1970, 1, 1, tzinfo=UTC)
"""Stands in a record that has not been stored; storage fills in the real times."""

THE_TOOL = 0
"""The key that stands for "the tool" wherever a record names who did something."""


@dataclass(frozen=True, kw_only=True)
class Record:
    """One line of the shop's books.

    Attributes:
        id: 64-bit key, 0 until stored; people see numbers from counters instead.
        version: counts the edits; a stale edit is refused by it.
        recorded_at: when we wrote it down (UTC, whole milliseconds).
        happened_at: when it really happened, as the person says; may be earlier.
        void: undone by an opposing booking; kept, but no longer counts.
    """

    id: int = 0
    version: int = 0
    recorded_at: datetime = NOT_YET
    happened_at: datetime = NOT_YET
    void: bool = False
