"""What the run sheet is planned from: shifts, printers, spools, tasks.

All times are whole minutes from one epoch that the caller chooses (`clock.PlanClock` turns moments into
minutes). Materials are texts that name material and colour together ("ASA grey"). Bores are micrometres,
masses milligrams.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace


@dataclass(frozen=True, slots=True)
class Shift:
    """A stretch with somebody in, in minutes; a set-up lies wholly inside one."""

    open: int
    close: int


@dataclass(frozen=True, slots=True)
class SetupMinutes:
    """Hands-on minutes before a run, and the heat-up that belongs to the run itself.

    Attributes:
        clear: take the last run off the platform.
        nozzle: swap the nozzle.
        material: load another spool.
        heat_up: heat-up, first line and purge, once a run; run time, not hands-on time.
    """

    clear: int = 3
    nozzle: int = 12
    material: int = 4
    heat_up: int = 8


@dataclass(frozen=True, slots=True)
class Costs:
    """What a minute is worth: a late one, a hands-on one, one more until all is printed."""

    late: int = 1000
    setup: int = 20
    makespan: int = 1


@dataclass(frozen=True, slots=True)
class FrozenRun:
    """A run that is on a printer already and that no plan may move.

    Attributes:
        key: the run's number, or what a run by hand is called.
        ends: the minute it is expected to end ("free again at about").
        starts: the minute it started, if known.
        by_hand: started outside the run sheet.
    """

    key: str
    ends: int
    starts: int | None = None
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class PlanPrinter:
    """A printer as the plan finds it.

    Attributes:
        key: what plans and tasks call it; name: what people call it.
        platform_mm: width and depth of the platform.
        nozzles: bores it can be given; hardened: those of them with a hardened nozzle.
        fitted: bore on it (after the frozen run), None if unknown.
        materials: what it may print, None for everything.
        loaded: material on it, None if unknown or none; loaded_spool: key of that spool.
        unattended: materials it may print with nobody in.
        free_from: first minute it can be set up (out of service until then).
        needs_clearing: something lies on the platform.
        frozen: the run on it now; it has to be cleared away afterwards.
        setups: this printer's own minutes, None for the shop's.
    """

    key: str
    platform_mm: tuple[float, float]
    nozzles: tuple[int, ...]
    fitted: int | None = None
    materials: frozenset[str] | None = None
    loaded: str | None = None
    loaded_spool: str | None = None
    unattended: frozenset[str] = frozenset()
    free_from: int = 0
    needs_clearing: bool = False
    frozen: FrozenRun | None = None
    hardened: frozenset[int] = frozenset()
    setups: SetupMinutes | None = None
    name: str = ""

    @property
    def called(self) -> str:
        """What people call it."""
        return self.name or self.key


@dataclass(frozen=True, slots=True)
class PlanSpool:
    """A spool the plan may draw from.

    Attributes:
        mg: what is left for planning (promised to started runs and the unusable tail taken off).
        printers: where it may go, None for every printer.
        available_from: first minute it can be loaded (in the dryer until then).
    """

    key: str
    material: str
    mg: int
    printers: frozenset[str] | None = None
    available_from: int = 0


@dataclass(frozen=True, slots=True)
class PlanTask:
    """Copies of one request that stay together on one run.

    Attributes:
        minutes: per bore it may use (fineness, released nozzles already applied): printing minutes of
            all its copies, without heat-up.
        mg: per bore, milligrams of all its copies; a bore that is missing draws nothing.
        footprints: width and depth of each copy in mm.
        release: earliest minute its set-up may begin; due: needed by.
        weight: what a late minute of it counts.
        alone: shares no run.
        printers: those it may go to, None for all.
        printer_minutes: minutes per bore on a printer that differs from `minutes`, by printer key.
        abrasive: needs a hardened nozzle.
        waits: the desk told it to wait.
        name: what people call it ("R 214").
    """

    key: str
    minutes: Mapping[int, int]
    material: str
    footprints: tuple[tuple[float, float], ...]
    due: int
    release: int = 0
    weight: int = 1
    alone: bool = False
    mg: Mapping[int, int] = field(default_factory=dict)
    printers: frozenset[str] | None = None
    printer_minutes: Mapping[str, Mapping[int, int]] = field(default_factory=dict)
    abrasive: bool = False
    waits: bool = False
    name: str = ""

    @property
    def called(self) -> str:
        """What people call it."""
        return self.name or self.key

    def minutes_on(self, printer_key: str) -> Mapping[int, int]:
        """Minutes per bore on one printer."""
        return self.printer_minutes.get(printer_key, self.minutes)


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Problem:
    """Everything a plan is made from and judged by.

    Attributes:
        shifts: in order, not overlapping; they do not repeat.
        start: the minute the plan starts, makespan counts from it.
        spools: None when grams are not watched.
        start_mg: milligrams of the first line and purge of every run.
        purge_mg: milligrams lost besides when a spool is loaded.
        travel: minutes added to a run for every task that joins it.
        safety_minutes: a run should end so long before a shift ends, or it counts as after it.
        fill_limit: share of the platform that the copies with their gaps may cover.
        persons: how many set-ups can be done at the same time.
    """

    printers: tuple[PlanPrinter, ...]
    tasks: tuple[PlanTask, ...]
    shifts: tuple[Shift, ...]
    start: int = 0
    setups: SetupMinutes = SetupMinutes()
    costs: Costs = Costs()
    gap_mm: float = 5.0
    fill_limit: float = 0.75
    persons: int = 1
    spools: tuple[PlanSpool, ...] | None = None
    start_mg: int = 0
    purge_mg: int = 0
    travel: int = 0
    safety_minutes: int = 0


def with_minutes(problem: Problem, minutes: Mapping[str, Mapping[str, Mapping[int, int]]]) -> Problem:
    """The same problem with other minutes: the same plan decoded with at-most minutes gives the "at most".

    Args:
        minutes: by task, by printer, per bore; tasks that are not in it keep theirs.
    """
    tasks = tuple(
        replace(task, printer_minutes=minutes[task.key]) if task.key in minutes else task
        for task in problem.tasks
    )
    return replace(problem, tasks=tasks)


def area_mm2(task: PlanTask, gap_mm: float) -> float:
    """What a task's copies cover of the platform, each with its gap: (w + gap)(d + gap)."""
    return sum((width + gap_mm) * (depth + gap_mm) for width, depth in task.footprints)
