"""Problems and plans for the planning tests: small named ones and random ones."""

from typing import Any

from hypothesis import strategies as st

from printcrib.core.planning.problem import (
    FrozenRun,
    PlanPrinter,
    PlanSpool,
    PlanTask,
    Problem,
    SetupMinutes,
    Shift,
)
from printcrib.core.planning.timeline import Plan, Slot

DAY = 1440
BORES = (400, 600, 800)
MATERIALS = ("ASA grey", "PETG black", "PLA red")


def days(count: int = 5) -> tuple[Shift, ...]:
    """Shifts 07:00-17:00 from minute 0 = midnight."""
    return tuple(Shift(420 + DAY * day, 1020 + DAY * day) for day in range(count))


def task(key: str, minutes: dict[int, int], due: int = 5 * DAY, **more: Any) -> PlanTask:
    """A task of ASA grey with one copy of 50 x 40 mm."""
    given: dict[str, Any] = {"material": "ASA grey", "footprints": ((50.0, 40.0),), "name": f"R {key}"} | more
    return PlanTask(key=key, minutes=minutes, due=due, **given)


def printer(key: str = "P1", **more: Any) -> PlanPrinter:
    """A printer with 0.4 fitted and ASA grey on it that may run unattended."""
    given: dict[str, Any] = {
        "platform_mm": (200.0, 200.0),
        "nozzles": BORES,
        "fitted": 400,
        "loaded": "ASA grey",
        "unattended": frozenset(MATERIALS),
    } | more
    return PlanPrinter(key=key, **given)


def problem(*tasks: PlanTask, **more: Any) -> Problem:
    """One printer, five days."""
    given: dict[str, Any] = {"printers": (printer(),), "shifts": days(), "start": 420} | more
    return Problem(tasks=tasks, **given)


def lane(*slots: tuple[str, int] | tuple[str, int, bool], key: str = "P1") -> Plan:
    """A plan for one printer."""
    return Plan({key: tuple(Slot(*slot) for slot in slots)})


_minutes = st.dictionaries(st.sampled_from(BORES), st.integers(1, 900), max_size=3)


@st.composite
def _tasks(draw: st.DrawFn, index: int) -> PlanTask:
    minutes = draw(_minutes)
    return PlanTask(
        key=f"R{index}",
        minutes=minutes,
        material=draw(st.sampled_from(MATERIALS)),
        footprints=tuple(
            draw(st.lists(st.tuples(st.floats(5, 210), st.floats(5, 210)), min_size=1, max_size=3))
        ),
        due=draw(st.integers(400, 4 * DAY)),
        release=draw(st.integers(0, DAY)),
        weight=draw(st.integers(0, 5)),
        alone=draw(st.booleans()),
        mg={bore: draw(st.integers(0, 200_000)) for bore in minutes},
        printers=draw(st.none() | st.frozensets(st.sampled_from(("P0", "P1")))),
        abrasive=draw(st.integers(0, 5)) == 0,
        waits=draw(st.integers(0, 9)) == 0,
    )


@st.composite
def _printers(draw: st.DrawFn, index: int) -> PlanPrinter:
    started = draw(st.none() | st.integers(300, DAY))
    material = draw(st.none() | st.sampled_from(MATERIALS))
    return PlanPrinter(
        key=f"P{index}",
        platform_mm=(draw(st.floats(100, 300)), draw(st.floats(100, 300))),
        nozzles=tuple(draw(st.sets(st.sampled_from(BORES), min_size=1))),
        fitted=draw(st.none() | st.sampled_from(BORES)),
        materials=draw(st.none() | st.frozensets(st.sampled_from(MATERIALS), min_size=1)),
        loaded=material,
        loaded_spool=None if material is None else draw(st.none() | st.just(f"{material} {index}")),
        unattended=draw(st.frozensets(st.sampled_from(MATERIALS))),
        free_from=draw(st.integers(0, 600)),
        needs_clearing=draw(st.booleans()),
        frozen=None if started is None else FrozenRun("9", started),
        hardened=frozenset(draw(st.sets(st.sampled_from(BORES)))),
        setups=draw(st.none() | st.just(SetupMinutes(5, 20, 6, 11))),
    )


_spools = st.lists(
    st.builds(
        lambda material, index, mg, until: PlanSpool(f"{material} {index}", material, mg, None, until),
        st.sampled_from(MATERIALS),
        st.integers(0, 2),
        st.integers(0, 600_000),
        st.integers(0, DAY),
    ),
    max_size=6,
    unique_by=lambda spool: spool.key,
)


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Any small problem: frozen runs, spools or not, attended or not, several people."""
    count = draw(st.integers(0, 8))
    spools = draw(st.none() | _spools)
    return Problem(
        printers=tuple(draw(_printers(index)) for index in range(draw(st.integers(1, 3)))),
        tasks=tuple(draw(_tasks(index)) for index in range(count)),
        shifts=days(draw(st.integers(1, 4))),
        start=draw(st.integers(0, 900)),
        persons=draw(st.integers(1, 2)),
        spools=None if spools is None else tuple(spools),
        start_mg=draw(st.integers(0, 3000)),
        purge_mg=draw(st.integers(0, 3000)),
        travel=draw(st.integers(0, 5)),
        safety_minutes=draw(st.sampled_from((0, 0, 15))),
    )


@st.composite
def problems_with_plans(draw: st.DrawFn) -> tuple[Problem, Plan]:
    """A problem and any plan: tasks anywhere, any bore, any join, some missing, some unknown or twice."""
    found = draw(problems())
    lanes: dict[str, list[Slot]] = {made.key: [] for made in found.printers}
    keys = [made.key for made in found.tasks] + draw(st.lists(st.sampled_from(("gone", "R0")), max_size=2))
    for key in draw(st.permutations(keys)):
        if draw(st.integers(0, 9)):
            at = draw(st.sampled_from(sorted(lanes)))
            lanes[at].append(Slot(key, draw(st.sampled_from(BORES)), draw(st.booleans())))
    return found, Plan({key: tuple(slots) for key, slots in lanes.items()})
