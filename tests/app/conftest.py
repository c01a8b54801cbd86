"""A demo shop with a kept plan in a folder, for commands to work on; made once a test run."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from printcrib.app.demo.history import begin_life

PRESENT = datetime(2026, 11, 27, 8, 42, tzinfo=UTC)


@pytest.fixture(scope="session")
def shop_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with a run on South, a request that waits, and one that is held."""
    folder = tmp_path_factory.mktemp("shop") / "shop"
    life = begin_life(folder, PRESENT)
    life.desk.starts = False
    life.desk.until(life.days.at(-3, "07:30"))
    asking = life.asking
    for size, quantity in (("cable comb 6 x 7", 2), ("thread cap M24 x 3", 1)):
        ask = asking.ask(size, by="Tarek", quantity=quantity, machine="Mill 1", hours=30)
        asking.accept(asking.put(ask).id)
    life.desk.start(life.demo.printers["South"])
    life.demo.wired.close()
    return folder
