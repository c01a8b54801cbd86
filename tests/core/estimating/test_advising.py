"""Advice on one model as a whole: figures, threads, ways to lie; and what makes it out of date."""

from typing import Any

import pytest
from tests.core.estimating.solids import box, moved, together
from tests.core.estimating.test_threads import screw

from printcrib.core.estimating import advising
from printcrib.core.estimating.advising import advise_mesh, made_for
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.shapes import TURNS, Extents, Mesh, turned

ROOM: Extents = (220.0, 220.0, 250.0)
SETTINGS = tuple(typical_settings(bore) for bore in (400, 600, 800))


def table_top() -> Mesh:
    return together(box(20, 20, 30), moved(box(60, 20, 10), -20, 0, 30))


def test_a_model_is_looked_over_for_every_line_once() -> None:
    advice, places = advise_mesh(screw(2.0), 0, SETTINGS + SETTINGS, [ROOM])
    assert [fit.bore_um for fit in advice.nozzles] == [400, 600, 800]
    (thread,) = advice.threads
    assert thread.pitch_mm == pytest.approx(2, rel=0.01)
    assert advice.rests[0].words == "as drawn"
    assert {rest.bore_um for rest in advice.rests if rest.minutes is not None} == {400}
    assert places == b""


def test_ways_to_lie_are_those_of_the_model_as_given() -> None:
    """Standing on its end or as drawn, the best way is the same turn of the file."""
    given = table_top()
    drawn, _ = advise_mesh(given, 0, SETTINGS, [ROOM])
    for now in ("-x/90", "+y/0"):
        index = list(TURNS).index(now)
        advice, _ = advise_mesh(turned(given, now), index, SETTINGS, [ROOM])
        assert advice.rests[0].turn == drawn.rests[0].turn or advice.rests[0].support_cm3 == 0
        assert any(rest.turn is not None and rest.turn // 4 == index // 4 for rest in advice.rests)
        assert advice.made_for != drawn.made_for


def test_what_no_printer_takes_has_no_way_to_lie() -> None:
    advice, _ = advise_mesh(box(40, 30, 20), 0, SETTINGS, [(25.0, 35.0, 50.0)])
    assert {rest.height_mm for rest in advice.rests} == {40}
    assert advise_mesh(box(40, 30, 20), 0, SETTINGS, [(10.0, 10.0, 10.0)])[0].rests == ()


def test_no_nozzle_no_advice() -> None:
    advice, places = advise_mesh(box(), 0, (), [ROOM])
    assert (advice.nozzles, advice.rests, places) == ((), (), b"")


def test_very_large_models_are_not_turned_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advising, "MOST_TRIANGLES", 11)
    advice, _ = advise_mesh(box(), 0, SETTINGS, [ROOM])
    assert advice.rests == ()
    assert advice.nozzles


@pytest.mark.parametrize(
    ("turn", "wanted", "rooms", "same"),
    [
        (0, SETTINGS[::-1], [ROOM], True),
        (4, SETTINGS, [ROOM], False),
        (0, SETTINGS[:2], [ROOM], False),
        (0, SETTINGS, [ROOM, (300.0, 300.0, 300.0)], False),
    ],
)
def test_what_makes_advice_out_of_date(
    turn: int, wanted: tuple[PrintSettings, ...], rooms: Any, same: bool
) -> None:
    assert (made_for(turn, wanted, rooms) == made_for(0, SETTINGS, [ROOM])) is same
