"""The records one week's figures are made from, copied out of the books."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from printcrib.core.materials import Material, Spool, SpoolEntry
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, Promise, Request
from printcrib.core.runs import Failure, Run


@dataclass(frozen=True, kw_only=True)
class WeekRecords:
    """Everything the week's figures need.

    Attributes:
        midnights: the eight midnights on the shop's wall from Monday to the next Monday, UTC.
        now: when the week is put together.
        requests: those that came in, got ready, were done in the week, or are open and late.
        copies: all copies of each of these requests.
        promises: of these requests, oldest first.
        runs: taken off, begun before the week's end and possibly reaching into it.
        run_copies: copies of each of these runs. asked: the requests of these copies.
        failures, spool_entries: of the week. entries opposed since are cancelled out before.
        names: what each request asks for, in words. people: names by key.
        swap_minutes: hands-on minutes of a nozzle swap.
    """

    midnights: tuple[datetime, ...]
    now: datetime
    requests: tuple[Request, ...] = ()
    copies: Mapping[int, tuple[Copy, ...]] = field(default_factory=dict)
    promises: tuple[Promise, ...] = ()
    reviews_open: int = 0
    runs: tuple[Run, ...] = ()
    open_runs: int = 0
    run_copies: Mapping[int, tuple[Copy, ...]] = field(default_factory=dict)
    asked: Mapping[int, Request] = field(default_factory=dict)
    failures: tuple[Failure, ...] = ()
    spool_entries: tuple[SpoolEntry, ...] = ()
    spools: Mapping[int, Spool] = field(default_factory=dict)
    materials: Mapping[int, Material] = field(default_factory=dict)
    printers: tuple[Printer, ...] = ()
    names: Mapping[int, str] = field(default_factory=dict)
    people: Mapping[int, str] = field(default_factory=dict)
    swap_minutes: int = 0

    @property
    def starts(self) -> datetime:
        """Monday 00:00 on the shop's wall."""
        return self.midnights[0]

    @property
    def ends(self) -> datetime:
        """The next Monday 00:00."""
        return self.midnights[-1]

    def within(self, moment: datetime | None) -> bool:
        """Whether a moment lies in the week."""
        return moment is not None and self.starts <= moment < self.ends
