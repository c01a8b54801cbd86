"""Pure rules of runs between start and take-off."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from printcrib.core.causes import CauseGroup
from printcrib.core.errors import ShopError
from printcrib.core.materials import Source
from printcrib.core.requests import COPY_STEPS, Copy, CopyState
from printcrib.core.running import (
    AfterFailure,
    Lost,
    Measured,
    after_failure,
    expected_end,
    expected_minutes,
    grams_taken,
    is_expected_over,
    lost_when_stopped,
    may_stand_on,
    minutes_left,
    minutes_taken,
    percent_done,
    shares,
    standing_mm,
    stepped,
    tries_behind,
)
from printcrib.core.runs import Run, RunState

T0 = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
KEPT = Run(number=32, printer_id=1, bore_um=600, estimated_minutes=100.0, estimated_mg=40_000)
STARTED = replace(KEPT, state=RunState.STARTED, started_at=T0)


def after(minutes: float) -> datetime:
    return T0 + timedelta(minutes=minutes)


@pytest.mark.parametrize("start", list(CopyState))
@pytest.mark.parametrize("end", list(CopyState))
def test_only_known_steps(start: CopyState, end: CopyState) -> None:
    copy = Copy(request_id=1, ordinal=2, state=start)
    if end in COPY_STEPS[start]:
        assert stepped(copy, end).state is end
    else:
        with pytest.raises(ShopError, match=f"Copy 2 is {start}"):
            stepped(copy, end)


def test_tries_are_counted_along_the_chain() -> None:
    first = Copy(id=1, request_id=1, ordinal=1)
    second = Copy(id=2, request_id=1, ordinal=2, replaces_id=1)
    third = Copy(id=3, request_id=1, ordinal=3, replaces_id=2)
    assert [tries_behind(c, (first, second, third)) for c in (first, second, third)] == [0, 1, 2]
    assert tries_behind(third, (third,)) == 0


@pytest.mark.parametrize("group", list(CauseGroup))
def test_three_new_copies_then_a_person(group: CauseGroup) -> None:
    if group is CauseGroup.DESIGN:
        assert {after_failure(group, n) for n in range(5)} == {AfterFailure.ASK_ASKER}
    else:
        told = [after_failure(group, n) for n in range(4)]
        assert told == [AfterFailure.NEW_COPY] * 3 + [AfterFailure.ASK_DESK]


def test_expected_end() -> None:
    assert expected_minutes(replace(KEPT, file_minutes=90.0)) == 90.0
    assert expected_end(KEPT) is None
    assert expected_end(replace(KEPT, planned_end=after(7))) == after(7)
    assert expected_end(STARTED) == after(100)
    assert expected_end(replace(STARTED, estimated_minutes=0.0)) is None
    assert expected_end(replace(STARTED, free_again_at=after(5))) == after(5)
    assert expected_end(replace(STARTED, stopped_at=after(3))) == after(3)


def test_expected_over_is_only_by_the_clock() -> None:
    assert not is_expected_over(STARTED, after(99))
    assert is_expected_over(STARTED, after(100))
    assert not is_expected_over(replace(STARTED, state=RunState.STOPPED), after(100))
    assert not is_expected_over(replace(STARTED, estimated_minutes=0.0), after(100))


def test_minutes_left_and_percent() -> None:
    assert minutes_left(STARTED, after(10.5)) == 90
    assert minutes_left(STARTED, after(500)) == 0
    assert minutes_left(KEPT, T0) is None
    assert percent_done(STARTED, after(25)) == pytest.approx(25.0)
    assert percent_done(STARTED, after(-5)) == 0.0
    assert percent_done(STARTED, after(500)) == 100.0
    assert percent_done(KEPT, T0) is None
    assert percent_done(replace(STARTED, estimated_minutes=0.0), T0) is None
    assert percent_done(replace(STARTED, free_again_at=T0), T0) is None
    assert percent_done(replace(STARTED, stopped_at_percent=40.0), T0) == 40.0


def test_what_stopping_loses() -> None:
    assert lost_when_stopped(STARTED, after(25)) == Lost(10_000, 25.0, 25.0)
    assert lost_when_stopped(replace(STARTED, file_mg=50_000), after(25), 50.0) == Lost(25_000, 25.0, 50.0)
    assert lost_when_stopped(KEPT, T0) == Lost(0, 0.0, 0.0)


def test_minutes_keep_their_source() -> None:
    assert minutes_taken(STARTED, 88.0, None) == Measured(88.0, Source.PANEL)
    assert minutes_taken(STARTED, 88.0, Source.WATCHED) == Measured(88.0, Source.WATCHED)
    assert minutes_taken(STARTED, None, None) == Measured(100.0, Source.ASSUMED)
    told = replace(STARTED, file_minutes=95.0)
    assert minutes_taken(told, None, None) == Measured(95.0, Source.FILE)
    told = replace(told, file_minutes_source=Source.PANEL)
    assert minutes_taken(told, None, None) == Measured(95.0, Source.PANEL)
    stopped = replace(told, stopped_at=after(30))
    assert minutes_taken(stopped, None, None) == Measured(30.0, Source.ASSUMED)
    by_hand = replace(STARTED, free_again_at=after(45))
    assert minutes_taken(by_hand, None, None) == Measured(45.0, Source.ASSUMED)


def test_grams_keep_their_source() -> None:
    assert grams_taken(STARTED, 39_000, None) == Measured(39_000, Source.WEIGHED)
    assert grams_taken(STARTED, 39_000, Source.PANEL) == Measured(39_000, Source.PANEL)
    assert grams_taken(STARTED, None, None) == Measured(40_000, Source.ASSUMED)
    told = replace(STARTED, file_mg=41_000)
    assert grams_taken(told, None, None) == Measured(41_000, Source.FILE)
    told = replace(told, file_mg_source=Source.PANEL)
    assert grams_taken(told, None, None) == Measured(41_000, Source.PANEL)
    assert grams_taken(replace(told, stopped_at_percent=10.0), None, None) == Measured(4100, Source.ASSUMED)


def test_grams_are_shared_over_the_spools_named() -> None:
    assert shares(40_000, 1, 10) == (40_000,)
    assert shares(40_000, 2, 15_000) == (15_000, 25_000)
    assert shares(40_000, 2, -5) == (0, 40_000)
    assert shares(40_000, 3, 90_000) == (40_000, 0, 0)


def test_abrasive_material_needs_a_hardened_nozzle() -> None:
    may_stand_on(600, True, True)
    may_stand_on(600, False, False)
    with pytest.raises(ShopError, match=r"the 0\.6 on it is not hardened"):
        may_stand_on(600, False, True)


def test_standing_sizes_are_those_of_the_turned_model() -> None:
    from printcrib.core.shapes import TURNS, Mesh, extents_of, turned

    box = Mesh([[0, 0, 0], [10, 20, 30]], [[0, 1, 0]])  # type: ignore[arg-type]
    for index, turn in enumerate(TURNS):
        assert standing_mm((10, 20, 30), index) == pytest.approx(extents_of(turned(box, turn)))
