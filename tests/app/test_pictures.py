"""Pictures of the nine places: each is taken in every size and look, and none is blank."""

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import own_shop

from printcrib.app.clock import SetClock
from printcrib.app.pictures import take_pictures
from printcrib.app.wiring import open_shop
from printcrib.screens.shell.places import PLACE_WORDS


def colours_of(path: Path) -> int:
    """How many different colours a coarse look at a picture finds."""
    image = QImage(str(path))
    return len({image.pixel(x, y) for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)})


@pytest.mark.usefixtures("qapp")
def test_every_place_is_pictured(tmp_path: Path, qapp: QApplication) -> None:
    wired = open_shop(tmp_path / "shop", clock=SetClock(TUESDAY_MORNING), create=True)
    try:
        own_shop(wired.shop)
        taken = take_pictures(wired, tmp_path / "screens", ((1280, 720),), ("light", "dark"))
    finally:
        wired.close()
    names = {path.name for path in taken}
    assert names == {f"{place}_1280x720_{look}.png" for place, _ in PLACE_WORDS for look in ("light", "dark")}
    for path in taken:
        image = QImage(str(path))
        assert (image.width(), image.height()) == (1280, 720), path.name
        assert colours_of(path) > 20, path.name
