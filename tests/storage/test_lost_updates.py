"""Sixteen clients edit the same spool at once: no edit, booking or number is lost."""

from pathlib import Path

import pytest
from tests.faults.lost_updates import run

CLIENTS, EDITS = 16, 5  # tests/faults/lost_updates.py makes it 200


@pytest.mark.parametrize("place", ["shop_folder", "shop_url"])
def test_no_update_is_lost(request: pytest.FixtureRequest, place: str) -> None:
    where: Path | str = request.getfixturevalue(place)
    tallies, faults = run(where, CLIENTS, EDITS)
    assert faults == []
    assert [tally.edits for tally in tallies] == [EDITS] * CLIENTS
