"""A planning problem as JSON, and its answer, so that others can check the plans.

Keys and conventions: minutes are integers, the plan starts at the first shift's opening, bores are texts
("0.4"), shifts do not repeat. Left out: release is the opening, weight 1, alone false, persons 1,
unattended false, costs 1000 / 20 / 1; everything else must be there.
"""

from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from printcrib.core.errors import ShopError
from printcrib.core.planning.decoder import decode
from printcrib.core.planning.dispatch import best_dispatch
from printcrib.core.planning.problem import Costs, PlanPrinter, PlanTask, Problem, SetupMinutes, Shift
from printcrib.core.planning.rules import due_date, first_come
from printcrib.core.planning.tables import NO_ROOM, NO_SHIFT
from printcrib.core.planning.timeline import Plan, PlannedRun, Timeline, Unplanned
from printcrib.core.units import bore_text, bore_um

METHODS: Mapping[str, Callable[[Problem], Plan]] = {
    "first-come": first_come,
    "due-date": due_date,
    "dispatch": best_dispatch,
}

CORRECT_IT = "Correct the problem file."

_MISSING = object()


def _refuse(key: str, words: str) -> NoReturn:
    raise ShopError(f'"{key}" {words}', CORRECT_IT)


class _Entry:
    """One JSON object with the place it stands at, for sentences that name the key."""

    def __init__(self, data: object, place: str) -> None:
        if not isinstance(data, Mapping):
            _refuse(place or "the problem", "must be an object")
        self.data, self.place = data, place

    def key(self, name: str) -> str:
        """The full name of a key: "tasks[2].due"."""
        return f"{self.place}.{name}" if self.place else name

    def get(self, name: str, default: object = _MISSING) -> Any:
        """A value; refused if it is not there and has no default."""
        value = self.data.get(name, default)
        if value is _MISSING:
            _refuse(self.key(name), "is missing")
        return value

    def whole(self, name: str, default: object = _MISSING, least: int = 0) -> int:
        """A whole number."""
        return _whole(self.get(name, default), self.key(name), least)

    def number(self, name: str) -> float:
        """A number that is not negative."""
        return _number(self.get(name), self.key(name))

    def flag(self, name: str) -> bool:
        """True or false, false when left out."""
        value = self.get(name, False)
        if not isinstance(value, bool):
            _refuse(self.key(name), "must be true or false")
        return value

    def text(self, name: str) -> str:
        """A text that is not empty."""
        return _text(self.get(name), self.key(name))

    def rows(self, name: str, length: int | None = None) -> list[Any]:
        """A list, of a length if one is given."""
        value = self.get(name)
        if not isinstance(value, list) or (length is not None and len(value) != length):
            _refuse(self.key(name), "must be a list" if length is None else f"must be a list of {length}")
        return value

    def entries(self, name: str) -> list["_Entry"]:
        """A list of objects."""
        return [_Entry(item, f"{self.key(name)}[{index}]") for index, item in enumerate(self.rows(name))]

    def size(self, name: str) -> tuple[float, float]:
        """Width and depth in mm, both above 0."""
        width, depth = (_number(item, self.key(name)) for item in self.rows(name, 2))
        if width <= 0 or depth <= 0:
            _refuse(self.key(name), "must be above 0")
        return width, depth


def _whole(value: object, key: str, least: int) -> int:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, bool) or not isinstance(value, int):
        _refuse(key, "must be a whole number")
    if value < least:
        _refuse(key, f"must be at least {least}")
    return value


def _number(value: object, key: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < float("inf"):
        _refuse(key, "must be a number from 0 up")
    return float(value)


def _text(value: object, key: str) -> str:
    if not isinstance(value, str) or not value:
        _refuse(key, "must be a text")
    return value


def _bore(value: object, key: str) -> int:
    try:
        return bore_um(_text(value, key))
    except ShopError as error:
        raise ShopError(
            f'"{key}" must be bores as texts, such as "0.4"', "Correct the problem file."
        ) from error


def _unique(names: list[str], key: str) -> None:
    for name in names:
        if names.count(name) > 1:
            _refuse(key, f'has the name "{name}" twice')


def _shifts(whole: _Entry) -> tuple[Shift, ...]:
    shifts: list[Shift] = []
    for index, row in enumerate(whole.rows("shifts")):
        place = f"shifts[{index}]"
        if not isinstance(row, list) or len(row) != 2:
            _refuse(place, "must be [open, close]")
        shift = Shift(*(_whole(minute, place, 0) for minute in row))
        if shift.open >= shift.close:
            _refuse(place, "must close after it opens")
        if shifts and shift.open < shifts[-1].close:
            _refuse(place, "must open after the shift before it closes")
        shifts.append(shift)
    if not shifts:
        _refuse("shifts", "must hold at least one shift")
    return tuple(shifts)


def _printer(entry: _Entry, unattended: frozenset[str]) -> PlanPrinter:
    key = entry.key("nozzles")
    fitted, loaded = entry.get("fitted"), entry.get("loaded")
    materials = [_text(name, entry.key("materials")) for name in entry.rows("materials")]
    return PlanPrinter(
        key=entry.text("name"),
        platform_mm=entry.size("platform_mm"),
        nozzles=tuple(_bore(bore, key) for bore in entry.rows("nozzles")),
        fitted=None if fitted is None else _bore(fitted, entry.key("fitted")),
        materials=frozenset(materials),
        loaded=None if loaded is None else _text(loaded, entry.key("loaded")),
        unattended=unattended,
    )


def _task(entry: _Entry, opening: int) -> PlanTask:
    key = entry.key("minutes")
    minutes = _Entry(entry.get("minutes"), key).data
    if not minutes:
        _refuse(key, "must name at least one bore")
    return PlanTask(
        key=entry.text("name"),
        minutes={_bore(bore, key): _whole(value, key, 0) for bore, value in minutes.items()},
        material=entry.text("material"),
        footprints=(entry.size("footprint_mm"),),
        due=entry.whole("due"),
        release=entry.whole("release", opening),
        weight=entry.whole("weight", 1),
        alone=entry.flag("alone"),
    )


def parse(data: object) -> Problem:
    """The problem of a JSON object.

    Raises:
        ShopError: it is not whole; the sentence names the key.
    """
    whole = _Entry(data, "")
    shifts = _shifts(whole)
    setups = _Entry(whole.get("setups"), "setups")
    costs = _Entry(whole.get("costs", {}), "costs")
    tasks = tuple(_task(entry, shifts[0].open) for entry in whole.entries("tasks"))
    unattended = frozenset(task.material for task in tasks) if whole.flag("unattended") else frozenset()
    printers = tuple(_printer(entry, unattended) for entry in whole.entries("printers"))
    if not printers:
        _refuse("printers", "must hold at least one printer")
    _unique([printer.key for printer in printers], "printers")
    _unique([task.key for task in tasks], "tasks")
    return Problem(
        printers=printers,
        tasks=tasks,
        shifts=shifts,
        start=shifts[0].open,
        setups=SetupMinutes(*(setups.whole(name) for name in ("clear", "nozzle", "material", "heat_up"))),
        costs=Costs(costs.whole("late", 1000), costs.whole("setup", 20), costs.whole("makespan", 1)),
        gap_mm=whole.number("gap_mm"),
        fill_limit=whole.number("fill_limit"),
        persons=whole.whole("persons", 1, least=1),
    )


def _key_of(problem: Problem, left_out: Unplanned) -> str:
    """The key of the problem that leaves a task without a place."""
    place = next(index for index, task in enumerate(problem.tasks) if task.key == left_out.task)
    if left_out.reason == NO_SHIFT or left_out.reason.endswith("with nobody in"):
        return "shifts"
    if left_out.reason == NO_ROOM:
        return f"tasks[{place}].footprint_mm"
    if left_out.reason.startswith("no printer may use"):
        return f"tasks[{place}].material"
    return f"tasks[{place}].minutes"


def answer(problem: Problem, plan: Plan, method: str, seconds: float) -> dict[str, object]:
    """What a plan comes to, as JSON.

    Raises:
        ShopError: a task has no place; the sentence names the task and the key (shifts, mostly).
    """
    timeline = decode(problem, plan)
    if timeline.unplanned:
        left_out = timeline.unplanned[0]
        words = f'leaves task "{left_out.task}" out: {left_out.reason}'
        _refuse(_key_of(problem, left_out), words)
    return {
        "cost": timeline.cost,
        "late_weighted": timeline.late_weighted,
        "nozzle_swaps": timeline.nozzle_swaps,
        "material_swaps": timeline.material_swaps,
        "setup_minutes": timeline.setup_minutes,
        "makespan": timeline.makespan,
        "runs": [_run_json(run) for run in timeline.runs],
        "tasks": _tasks_json(timeline),
        "seconds": seconds,
        "method": method,
    }


def _run_json(run: PlannedRun) -> dict[str, object]:
    return {
        "printer": run.printer,
        "nozzle": bore_text(run.bore),
        "material": run.material,
        "tasks": list(run.tasks),
        "hands_on_from": run.hands_on_from,
        "starts": run.starts,
        "ends": run.ends,
    }


def _tasks_json(timeline: Timeline) -> list[dict[str, object]]:
    return [{"name": time.task, "ready": time.ready, "late": time.late} for time in timeline.tasks]
