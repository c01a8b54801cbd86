"""The shop floor at one point of a plan: when printers, people and spools are free next."""

from bisect import bisect_left
from enum import IntEnum
from typing import NamedTuple

from printcrib.core.planning.tables import Group, Tables


class Step(NamedTuple):
    """A run as it would come next on a printer; spool -1 when grams are not watched."""

    hands_on_from: int
    clear: int
    nozzle: int
    material: int
    swaps: bool
    loads: bool
    starts: int
    ends: int
    ready: int
    mg: int
    spool: int


class Refused(IntEnum):
    """Why a run cannot come next on a printer."""

    SPOOL = 1
    TOO_LONG = 2
    NO_SHIFT = 3


class Floor:
    """Printers, people and spools while a plan is walked through, run by run.

    Attributes:
        free: per printer, when the last run on it ends.
        person_free: when the next person has free hands.
    """

    __slots__ = (
        "fitted",
        "free",
        "loaded",
        "loaded_spool",
        "occupied",
        "people",
        "person_free",
        "spool_from",
        "spool_mg",
        "tables",
    )

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.free = list(tables.free)
        self.fitted = list(tables.fitted)
        self.loaded = list(tables.loaded)
        self.loaded_spool = list(tables.loaded_spool)
        self.occupied = list(tables.occupied)
        self.people = [tables.problem.start] * tables.problem.persons
        self.person_free = tables.problem.start
        self.spool_mg = list(tables.spool_mg)
        self.spool_from = list(tables.spool_from)

    def ready_at(self, end: int) -> int:
        """When somebody can take off a run that ends then; -1 if no shift follows."""
        tables = self.tables
        i = bisect_left(tables.ready_closes, end)
        if i == len(tables.opens):
            return -1
        return max(end, tables.opens[i])

    def opening(self, moment: int) -> int:
        """The moment itself if somebody is in, else the next opening; the moment if none follows."""
        tables = self.tables
        i = bisect_left(tables.closes, moment)
        return moment if i == len(tables.opens) else max(moment, tables.opens[i])

    def _hands_on_from(self, earliest: int, setup: int, run: int, attended: bool) -> int:
        """First minute the set-up fits wholly into a shift, and an attended run after it; -1 if never."""
        tables = self.tables
        for i in range(bisect_left(tables.closes, earliest + setup), len(tables.opens)):
            at = max(earliest, tables.opens[i])
            if at + setup <= tables.closes[i] and (
                not attended or at + setup + run <= tables.ready_closes[i]
            ):
                return at
        return -1

    def _spool(self, p: int, material: int, mg: int, earliest: int) -> tuple[int, bool, int, int] | None:
        """Spool, whether it is loaded anew, milligrams drawn, first minute; None if none holds enough.

        The spool on the printer goes first if it holds enough, then the one that is free first, then one
        that is on no other printer, then the one with least left.
        """
        with_purge = mg + self.tables.problem.purge_mg
        best: tuple[int, bool, int, int] | None = None
        for spool in self.tables.spools_of[p][material]:
            left = self.spool_mg[spool]
            if spool == self.loaded_spool[p]:
                if left >= mg:
                    return spool, False, mg, earliest
            elif left >= with_purge:
                rank = (max(earliest, self.spool_from[spool]), spool in self.loaded_spool, left, spool)
                best = rank if best is None else min(best, rank)
        return None if best is None else (best[3], True, with_purge, best[0])

    def step(self, p: int, group: Group) -> Step | Refused:
        """The run of a group as it would come next on a printer."""
        tables = self.tables
        earliest = max(self.free[p], self.person_free, group.release)
        spool, loads, mg = -1, self.loaded[p] != group.material, group.mg
        if tables.problem.spools is not None:
            found = self._spool(p, group.material, group.mg, earliest)
            if found is None:
                return Refused.SPOOL
            spool, loads, mg, earliest = found
        minutes = tables.setups[p]
        swaps = self.fitted[p] != group.bore
        clear = minutes.clear if self.occupied[p] else 0
        nozzle = minutes.nozzle if swaps else 0
        material = minutes.material if loads else 0
        setup, run = clear + nozzle + material, minutes.heat_up + group.minutes
        attended = tables.attended[p][group.material]
        at = self._hands_on_from(earliest, setup, run, attended)
        ready = -1 if at < 0 else self.ready_at(at + setup + run)
        if ready < 0:
            return Refused.TOO_LONG if attended and setup + run > tables.longest_shift else Refused.NO_SHIFT
        starts = at + setup
        return Step(at, clear, nozzle, material, swaps, loads, starts, starts + run, ready, mg, spool)

    def take(self, p: int, group: Group, step: Step) -> None:
        """Carry out a step: book the printer, a person and the spool."""
        self.free[p] = step.ends
        self.fitted[p] = group.bore
        self.loaded[p] = group.material
        self.occupied[p] = True
        if len(self.people) == 1:
            self.people[0] = self.person_free = step.starts
        else:
            self.people[self.people.index(min(self.people))] = step.starts
            self.person_free = min(self.people)
        if step.spool >= 0:
            if step.loads and step.spool in self.loaded_spool:
                self.loaded_spool[self.loaded_spool.index(step.spool)] = -1
            self.loaded_spool[p] = step.spool
            self.spool_mg[step.spool] -= step.mg
            self.spool_from[step.spool] = step.ends
