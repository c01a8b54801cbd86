"""A problem as plain integer tables, so that many plans can be judged quickly."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple
from weakref import WeakKeyDictionary

from printcrib.core.planning.problem import PlanPrinter, PlanSpool, PlanTask, Problem, SetupMinutes, area_mm2
from printcrib.core.planning.rows import stand_together
from printcrib.core.units import grams_from_mg

PLANNED_LATER_MINUTES = 7 * 1440  # an unplanned task counts as ready a week after the last shift

Lane = Sequence[tuple[int, int, bool]]  # task, bore, joins the run before it


def no_spool_words(material: str, mg: int) -> str:
    """Why a task without filament is not planned."""
    return f"no spool of {material} with {-int(-grams_from_mg(mg) // 1)} g left"


def nobody_in_words(minutes: int) -> str:
    """Why a task that must not run unattended is not planned."""
    return f"needs {minutes} min with nobody in"


NO_PRINTER = "none of its printers is in service"
NO_NOZZLE = "no printer has a nozzle it may use"
NO_ROOM = "its copies do not fit on a platform together"
NO_SHIFT = "does not fit into the shifts"
WAITS = "waits, as the desk said"
NOT_ON_PLAN = "is not on the plan yet"


class Group(NamedTuple):
    """Tasks that share one run: minutes without heat-up, milligrams with the start, mm2 with gaps."""

    bore: int
    material: int
    tasks: tuple[int, ...]
    minutes: int
    mg: int
    release: int
    area: float


@dataclass(slots=True)
class Tables:
    """The problem by numbers: tasks, printers, materials and spools are positions.

    Attributes:
        options: per printer and task the bores it may use there, with minutes.
        barred: tasks that no plan can hold, with the reason.
        spools_of: per printer and material, the spools that may go there.
        ready_closes: closings less the safety minutes.
        loaded_spool: -1 for none or unknown; loaded: material, -1 likewise.
        fitting, formed: answers found before, of `stand_together` and of the decoder.
    """

    problem: Problem
    task_at: dict[str, int]
    materials: list[str]
    material: list[int]
    release: list[int]
    due: list[int]
    weight: list[int]
    alone: list[bool]
    area: list[float]
    mg: list[dict[int, int]]
    options: list[list[dict[int, int]]]
    barred: dict[int, str]
    setups: list[SetupMinutes]
    capacity: list[float]
    attended: list[list[bool]]
    opens: list[int]
    closes: list[int]
    ready_closes: list[int]
    longest_shift: int
    free: list[int]
    occupied: list[bool]
    fitted: list[int]
    loaded: list[int]
    loaded_spool: list[int]
    spool_mg: list[int]
    spool_from: list[int]
    spools_of: list[list[list[int]]]
    fitting: dict[tuple[int, frozenset[int]], bool]
    formed: dict[tuple[int, tuple[tuple[int, int, bool], ...]], tuple[Group, ...]]

    @property
    def horizon(self) -> int:
        """The last closing."""
        return self.closes[-1] if self.closes else self.problem.start

    def stand_together(self, printer: int, tasks: Sequence[int]) -> bool:
        """Whether all copies of these tasks stand on the platform in rows (looked up once per set)."""
        key = (printer, frozenset(tasks))
        known = self.fitting.get(key)
        if known is None:
            footprints = tuple(size for t in sorted(tasks) for size in self.problem.tasks[t].footprints)
            platform = self.problem.printers[printer].platform_mm
            known = stand_together(platform, footprints, self.problem.gap_mm)
            self.fitting[key] = known
        return known

    def mg_of(self, tasks: Sequence[int], bore: int) -> int:
        """Milligrams of a run of these tasks, its start included, loading a spool not."""
        return self.problem.start_mg + sum(self.mg[t].get(bore, 0) for t in tasks)

    def most_on_a_spool(self, printer: int, material: int) -> int | None:
        """The fullest spool that may go there in milligrams; None if grams are not watched."""
        if self.problem.spools is None:
            return None
        return max((self.spool_mg[s] for s in self.spools_of[printer][material]), default=0)


_KNOWN: "WeakKeyDictionary[Problem, Tables]" = WeakKeyDictionary()


def tables_of(problem: Problem) -> Tables:
    """The tables of a problem, made once for each problem object."""
    known = _KNOWN.get(problem)
    if known is None:
        known = _KNOWN[problem] = _make_tables(problem)
    return known


def _make_tables(problem: Problem) -> Tables:
    tasks, printers, spools = problem.tasks, problem.printers, problem.spools or ()
    names = [task.material for task in tasks] + [spool.material for spool in spools]
    materials = sorted({*names, *(printer.loaded for printer in printers if printer.loaded is not None)})
    number = {name: index for index, name in enumerate(materials)}
    spool_at = {spool.key: index for index, spool in enumerate(spools)}
    tables = Tables(
        problem=problem,
        task_at={task.key: index for index, task in enumerate(tasks)},
        materials=materials,
        material=[number[task.material] for task in tasks],
        release=[task.release for task in tasks],
        due=[task.due for task in tasks],
        weight=[task.weight for task in tasks],
        alone=[task.alone for task in tasks],
        area=[area_mm2(task, problem.gap_mm) for task in tasks],
        mg=[dict(task.mg) for task in tasks],
        options=[],
        barred={},
        setups=[printer.setups or problem.setups for printer in printers],
        capacity=[problem.fill_limit * p.platform_mm[0] * p.platform_mm[1] for p in printers],
        attended=[[name not in printer.unattended for name in materials] for printer in printers],
        opens=[shift.open for shift in problem.shifts],
        closes=[shift.close for shift in problem.shifts],
        ready_closes=[shift.close - problem.safety_minutes for shift in problem.shifts],
        longest_shift=max((shift.close - shift.open for shift in problem.shifts), default=0)
        - problem.safety_minutes,
        free=[_free_minute(printer, problem.start) for printer in printers],
        occupied=[printer.needs_clearing or printer.frozen is not None for printer in printers],
        fitted=[printer.fitted if printer.fitted is not None else -1 for printer in printers],
        loaded=[-1 if printer.loaded is None else number[printer.loaded] for printer in printers],
        loaded_spool=[spool_at.get(printer.loaded_spool or "", -1) for printer in printers],
        spool_mg=[spool.mg for spool in spools],
        spool_from=[max(spool.available_from, _drawn_from_until(problem, spool.key)) for spool in spools],
        spools_of=[_spools_for(printer, spools, materials) for printer in printers],
        fitting={},
        formed={},
    )
    _fill_options(tables)
    return tables


def _spools_for(printer: PlanPrinter, spools: Sequence[PlanSpool], materials: list[str]) -> list[list[int]]:
    """Per material, the spools that may go on a printer."""
    may_go = [spool.printers is None or printer.key in spool.printers for spool in spools]
    return [
        [index for index, spool in enumerate(spools) if may_go[index] and spool.material == name]
        for name in materials
    ]


def _free_minute(printer: PlanPrinter, start: int) -> int:
    frozen = printer.frozen
    return max(start, printer.free_from, start if frozen is None else frozen.ends)


def _drawn_from_until(problem: Problem, spool_key: str) -> int:
    """When the run that is drawing from a spool now ends."""
    frozen = (p.frozen for p in problem.printers if p.loaded_spool == spool_key)
    return max((run.ends for run in frozen if run is not None), default=problem.start)


def _fill_options(tables: Tables) -> None:
    tables.options = [[{} for _ in tables.problem.tasks] for _ in tables.problem.printers]
    for t, task in enumerate(tables.problem.tasks):
        if task.waits:
            tables.barred[t] = WAITS
            continue
        furthest, words = -1, NO_PRINTER
        for p in range(len(tables.problem.printers)):
            stage, why, options = _options_on(tables, p, t)
            tables.options[p][t] = options
            if stage > furthest:
                furthest, words = stage, why
        if not any(options[t] for options in tables.options):
            tables.barred[t] = words


def _options_on(tables: Tables, p: int, t: int) -> tuple[int, str, dict[int, int]]:
    """Bores with minutes of a task on a printer; if none, how far it got and why no further."""
    task, printer = tables.problem.tasks[t], tables.problem.printers[p]
    if task.printers is not None and printer.key not in task.printers:
        return 0, NO_PRINTER, {}
    if printer.materials is not None and task.material not in printer.materials:
        return 1, f"no printer may use {task.material}", {}
    options = {
        bore: minutes for bore, minutes in task.minutes_on(printer.key).items() if _fits(task, printer, bore)
    }
    if not options:
        return 2, NO_NOZZLE, {}
    many = len(task.footprints) > 1 and tables.area[t] > tables.capacity[p]
    if many or not tables.stand_together(p, (t,)):
        return 3, NO_ROOM, {}
    return _options_with_filament_and_time(tables, p, t, options)


def _fits(task: PlanTask, printer: PlanPrinter, bore: int) -> bool:
    return bore in printer.nozzles and (not task.abrasive or bore in printer.hardened)


def _options_with_filament_and_time(
    tables: Tables, p: int, t: int, options: dict[int, int]
) -> tuple[int, str, dict[int, int]]:
    material = tables.material[t]
    most = tables.most_on_a_spool(p, material)
    if most is not None:
        needs = {bore: tables.mg_of((t,), bore) for bore in options}
        options = {bore: minutes for bore, minutes in options.items() if needs[bore] <= most}
        if not options:
            return 4, no_spool_words(tables.materials[material], min(needs.values())), {}
    if tables.attended[p][material]:
        heat_up = tables.setups[p].heat_up
        shortest = min(options.values()) + heat_up
        options = {bore: m for bore, m in options.items() if m + heat_up <= tables.longest_shift}
        if not options:
            return 5, nobody_in_words(shortest), {}
    return 6, "", options
