"""A killed writer leaves all of a press or none of it; a killed keeper leaves whole files or none."""

from pathlib import Path

import pytest
from tests.faults.kill_storage import kill_keepers, kill_writers
from tests.faults.killing import Killer
from tests.faults.storage_work import prepare

KILLS = 15  # tests/faults/kill_storage.py makes it 1000


@pytest.mark.parametrize("place", ["shop_folder", "shop_url"])
@pytest.mark.parametrize("kill", [kill_writers, kill_keepers])
def test_nothing_acknowledged_is_lost_and_nothing_is_there_by_half(
    request: pytest.FixtureRequest, place: str, kill: object
) -> None:
    assert callable(kill)
    where: Path | str = request.getfixturevalue(place)
    _acknowledged, faults = kill(where, KILLS)
    assert faults == []


def test_a_killer_tells_an_end_from_a_kill_and_an_error(shop_folder: Path) -> None:
    prepare(shop_folder)
    killer = Killer("tests.faults.storage_work:write_some")
    finished = killer.finish(shop_folder, 3)
    assert (len(finished.said), finished.killed) == (3, False)
    killed = killer.kill(shop_folder, 100_000, within_seconds=0.5)
    assert killed.killed
    with pytest.raises(RuntimeError, match="ended with an error"):
        Killer("tests.faults.storage_work:break_down").finish(shop_folder)
