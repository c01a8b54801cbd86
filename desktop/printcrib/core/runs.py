"""Runs: one go of one printer with one nozzle and one material, and the plan that orders them."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from printcrib.core.materials import Source
from printcrib.core.records import Record


class RunState(StrEnum):
    """Stored states of a run; "expected over" is shown, never stored."""

    KEPT = "kept"
    STARTED = "started"
    STOPPED = "stopped"
    TAKEN_OFF = "taken off"
    CANCELLED = "cancelled"


class RunOrigin(StrEnum):
    """Whether the run stood on the plan or was started by hand."""

    PLANNED = "planned"
    BY_HAND = "by hand"


@dataclass(frozen=True, kw_only=True)
class Run(Record):
    """One go of one printer (run 32), from start to take-off.

    Attributes:
        spool_ids: in order of use; the first is the one loaded at the start.
        estimated_minutes, at_most_minutes, estimated_mg: the tool's figure for the whole run.
    computed_minutes, computed_start_minutes, computed_mg: the same from the models alone, before what the
        shop has learned; 0 where a copy has no estimate. What is learned is learned against these.
        planned_start, planned_end: from the kept plan, set again at the start.
        minutes, minutes_source, mg, grams_source: what really happened, once known.
        file_minutes, file_mg: told at the start from the print file or the panel.
        free_again_at: said at "run by hand". name: what it was, for a run by hand.
        stopped_at_percent: how far it got when stopped.
    """

    number: int
    printer_id: int
    bore_um: int
    nozzle_id: int | None = None
    material_id: int | None = None
    colour: str = ""
    spool_ids: tuple[int, ...] = ()
    origin: RunOrigin = RunOrigin.PLANNED
    state: RunState = RunState.KEPT
    print_file_sha: str = ""
    estimated_minutes: float = 0.0
    at_most_minutes: float = 0.0
    estimated_mg: int = 0
    computed_minutes: float = 0.0
    computed_start_minutes: float = 0.0
    computed_mg: int = 0
    planned_hands_on: datetime | None = None
    planned_start: datetime | None = None
    planned_end: datetime | None = None
    file_minutes: float | None = None
    file_minutes_source: Source | None = None
    file_mg: int | None = None
    file_mg_source: Source | None = None
    minutes: float | None = None
    minutes_source: Source | None = None
    mg: int | None = None
    grams_source: Source | None = None
    started_at: datetime | None = None
    started_by_id: int | None = None
    stopped_at: datetime | None = None
    stopped_at_percent: float | None = None
    taken_off_at: datetime | None = None
    taken_off_by_id: int | None = None
    free_again_at: datetime | None = None
    name: str = ""
    swapped_nozzle: bool = False
    changed_material: bool = False


class PlanState(StrEnum):
    """A proposed plan is data; only one kept plan is live."""

    PROPOSED = "proposed"
    KEPT = "kept"
    OLD = "old"


@dataclass(frozen=True, kw_only=True)
class PlanSlot:
    """One task on a printer's list: copies of one request that stay together."""

    request_id: int
    copy_ids: tuple[int, ...]
    bore_um: int
    joins: bool = False
    run_id: int | None = None
    pinned: bool = False
    waiting: bool = False


@dataclass(frozen=True, kw_only=True)
class PlanLane:
    """One printer's ordered list of tasks."""

    printer_id: int
    slots: tuple[PlanSlot, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Plan(Record):
    """The run sheet as data; the decoder turns it into times.

    Attributes:
        starts_at: the instant of the planner's minute 0.
        kept_by_id: THE_TOOL for a repair kept by itself.
        unplanned: (request key, words) of what could not be placed.
        swaps_saved, minutes_saved: what grouping saves against first come, first served.
    """

    starts_at: datetime
    state: PlanState = PlanState.PROPOSED
    kept_by_id: int | None = None
    method: str = ""
    lanes: tuple[PlanLane, ...] = ()
    unplanned: tuple[tuple[int, str], ...] = ()
    nozzle_swaps: int = 0
    swaps_saved: int = 0
    setup_minutes_saved: int = 0
    late_minutes_saved: int = 0


@dataclass(frozen=True, kw_only=True)
class Failure(Record):
    """What went wrong on a run, with which copies, and what was done about it.

    Attributes:
        cause: plain words of `core.causes`; "not known yet" is allowed. cause_group: machine,
            material, desk, design or not known yet.
        percent: how far it got. mg_lost, minutes_lost: filament and printer time lost.
    """

    run_id: int
    copy_ids: tuple[int, ...] = ()
    cause: str = "not known yet"
    cause_group: str = "not known yet"
    percent: float | None = None
    mg_lost: int = 0
    minutes_lost: float = 0.0
    photo_sha: str = ""
    done_about_it: str = ""
    who_id: int = 0
