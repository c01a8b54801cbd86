"""A short search around a plan: move, join, swap, another nozzle; only what is cheaper stays.

Deterministic: the same problem and plan give the same answer. The search proper (annealing) works on the
same lists and the same decoder.
"""

from collections.abc import Callable
from random import Random

from printcrib.core.planning.decoder import cost_of
from printcrib.core.planning.tables import Tables

Lanes = list[list[tuple[int, int, bool]]]

MOST_TRIES = 1000
EFFORT = 25_000  # tries x tasks, about a quarter of a second
BLOCK = 4  # longest stretch of tasks that moves together
SAY_EVERY = 20


def _copy(lanes: Lanes) -> Lanes:
    return [list(lane) for lane in lanes]


def _pick(chance: Random, lanes: Lanes) -> tuple[int, int] | None:
    """A list and a place on it, every task as likely as any other."""
    places = [(p, at) for p, lane in enumerate(lanes) for at in range(len(lane))]
    return chance.choice(places) if places else None


def _flip_join(tables: Tables, chance: Random, lanes: Lanes, p: int, at: int) -> None:
    t, bore, joins = lanes[p][at]
    lanes[p][at] = (t, bore, not joins)


def _other_nozzle(tables: Tables, chance: Random, lanes: Lanes, p: int, at: int) -> None:
    t, _, joins = lanes[p][at]
    lanes[p][at] = (t, chance.choice(sorted(tables.options[p][t])), joins)


def _run_bounds(lane: list[tuple[int, int, bool]], at: int) -> tuple[int, int]:
    start, end = at, at + 1
    while start > 0 and lane[start][2]:
        start -= 1
    while end < len(lane) and lane[end][2]:
        end += 1
    return start, end


def _move(tables: Tables, chance: Random, lanes: Lanes, p: int, at: int) -> None:
    """Move a task, a short stretch or a run to another place, of any printer that may print it."""
    kind = chance.random()
    if kind < 0.4:
        start, end = at, at + 1
    elif kind < 0.7:
        start, end = _run_bounds(lanes[p], at)
    else:
        start, end = at, min(len(lanes[p]), at + chance.randint(2, BLOCK))
    block = lanes[p][start:end]
    del lanes[p][start:end]
    homes = [q for q, options in enumerate(tables.options) if all(options[t] for t, _, _ in block)]
    q = chance.choice(homes)
    place = chance.randint(0, len(lanes[q]))
    near = lanes[q][place - 1][1] if place else tables.fitted[q]
    block = [(t, _bore(tables, q, t, bore, near), joins) for t, bore, joins in block]
    block[0] = (*block[0][:2], chance.random() < 0.5)
    lanes[q][place:place] = block


def _bore(tables: Tables, p: int, t: int, wanted: int, near: int) -> int:
    options = tables.options[p][t]
    for bore in (near, wanted):
        if bore in options:
            return bore
    return max(options)


def _swap(tables: Tables, chance: Random, lanes: Lanes, p: int, at: int) -> None:
    other = chance.randrange(len(lanes[p]))
    lane = lanes[p]
    lane[at], lane[other] = lane[other], lane[at]


def improve(
    tables: Tables,
    lanes: Lanes,
    cost: int,
    say: Callable[[float], None],
    stop: Callable[[], bool],
    tries: int | None = None,
) -> Lanes:
    """Look around a plan for a cheaper one; the plan itself if there is none.

    Tries so many changes, by default fewer the more tasks there are.
    """
    chance = Random(1)
    if tries is None:
        tries = min(MOST_TRIES, EFFORT // max(1, len(tables.due)))
    moves = (_flip_join, _other_nozzle, _move, _move, _move, _move, _swap)
    for number in range(tries):
        if number % SAY_EVERY == 0:
            say(number / tries)
            if stop():
                break
        trial = _copy(lanes)
        spot = _pick(chance, trial)
        if spot is None:
            break
        chance.choice(moves)(tables, chance, trial, *spot)
        trial_cost = cost_of(tables, list(trial))
        if trial_cost <= cost:
            lanes, cost = trial, trial_cost
    return lanes
