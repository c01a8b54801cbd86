"""A plan, and what the decoder makes of it: runs with their times, ready tasks, what it costs."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Slot:
    """One task on a printer's list: with which bore, and whether it joins the run before it."""

    task: str
    bore: int
    joins: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """Per printer (by key) the tasks in order. Joining is a wish: what cannot share starts a run."""

    lanes: Mapping[str, tuple[Slot, ...]] = field(default_factory=dict)

    def tasks(self) -> list[str]:
        """The keys of all tasks on the plan."""
        return [slot.task for lane in self.lanes.values() for slot in lane]


@dataclass(frozen=True, slots=True)
class PlannedRun:
    """One go of one printer, in minutes.

    Attributes:
        tasks: keys, in order.
        hands_on_from: the set-up begins; starts: heat-up begins; ends: printing is over;
            ready: somebody can take it off.
        clear_minutes, nozzle_minutes, material_minutes: the pieces of the set-up.
        swaps_nozzle, loads_spool: whether these pieces happen, even when they take no minutes.
        mg: drawn from the spool with start and purge; spool: its key, None if grams are not watched.
    """

    printer: str
    bore: int
    material: str
    tasks: tuple[str, ...]
    hands_on_from: int
    clear_minutes: int
    nozzle_minutes: int
    material_minutes: int
    swaps_nozzle: bool
    loads_spool: bool
    starts: int
    ends: int
    ready: int
    mg: int
    spool: str | None

    @property
    def setup_minutes(self) -> int:
        """Hands-on minutes before the run."""
        return self.starts - self.hands_on_from


@dataclass(frozen=True, slots=True)
class TaskTime:
    """When a task is ready and how many minutes late that is (0 if not late)."""

    task: str
    ready: int
    late: int
    run: int  # index into Timeline.runs


@dataclass(frozen=True, slots=True)
class Unplanned:
    """A task that is in no run, with the reason in words."""

    task: str
    reason: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """What a plan comes to.

    Attributes:
        runs: in the order somebody sets them up.
        tasks: in the order of the problem, without the unplanned.
        cost: 1000 x weighted late minutes + 20 x set-up minutes + makespan with the usual exchange
            rates; unplanned tasks that another plan could hold count as later than all shifts.
        late_weighted: sum of weight x late minutes. late_minutes: sum without weights.
        material_swaps: how often a spool is loaded.
        makespan: last end minus the plan's start.
    """

    runs: tuple[PlannedRun, ...]
    tasks: tuple[TaskTime, ...]
    unplanned: tuple[Unplanned, ...]
    cost: int
    late_weighted: int
    late_minutes: int
    nozzle_swaps: int
    material_swaps: int
    setup_minutes: int
    makespan: int

    def runs_on(self, printer: str) -> list[PlannedRun]:
        """The runs of one printer in order."""
        return [run for run in self.runs if run.printer == printer]

    def late(self) -> list[TaskTime]:
        """The tasks that are late, the latest first."""
        return sorted((task for task in self.tasks if task.late), key=lambda task: -task.late)
