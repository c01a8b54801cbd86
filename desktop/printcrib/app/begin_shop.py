"""The ways a shop begins on this PC, without a window: the demo shop, an own one, one that is there."""

import shutil
import tempfile
import tomllib
from collections.abc import Callable
from concurrent.futures import CancelledError
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from printcrib.app.resources import resource_folder
from printcrib.app.station import data_folder
from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.records import THE_TOOL
from printcrib.services.press import Press
from printcrib.services.set_up_shop import SetUp, materials_from, set_up_shop

if TYPE_CHECKING:
    from printcrib.app.wiring import Wired

DATABASE = "shop.db"
STORY_FROM, STORY_STEPS = 0.8, 30
"""Where the history of the demo shop ends and its story begins, as its progress is told."""


def shipped_materials() -> tuple[Material, ...]:
    """The table of materials shipped with the program."""
    rows = tomllib.loads((resource_folder() / "materials.toml").read_text("utf-8"))["material"]
    return materials_from(rows)


def demo_folder() -> Path:
    """Where the demo shop of this PC is."""
    return data_folder() / "demo-shop"


def demo_is_here() -> bool:
    """Whether the demo shop was made before."""
    return (demo_folder() / DATABASE).exists()


def free_folder() -> Path:
    """Where a new shop goes unless told otherwise: the first folder without one."""
    usual = data_folder() / "shop"
    candidates = (usual.with_name(f"shop-{number}" if number > 1 else "shop") for number in range(1, 1000))
    return next((folder for folder in candidates if not (folder / DATABASE).exists()), usual)


def place_fault(place: str) -> str:
    """Why no new shop can begin in a folder, "" when it can; an address is asked only at the end."""
    if "://" in place:
        return ""
    folder = Path(place)
    if not folder.is_absolute():
        return "Give the whole path of the folder, or choose it."
    if (folder / DATABASE).exists():
        return "There is a shop in this folder already; name another one, or open that shop."
    if folder.is_file():
        return "This is a file; name a folder."
    return ""


def make_own(place: str, set_up: SetUp) -> str:
    """Begin an own shop in a folder or an empty database; all of it or nothing.

    Raises:
        ShopError: there is a shop already, or the place cannot be used.
    """
    from printcrib.app.wiring import open_shop

    with closing(open_shop(place, create=True)) as wired:
        with wired.shop.read() as uow:
            taken = uow.settings.count()
        if taken:
            raise ShopError(
                f"There is a shop in {_shown(place)} already", "Name another place, or open that shop."
            )
        set_up_shop(wired.shop, Press(who_id=THE_TOOL, station="set-up"), set_up)
    return place


def open_set_up(place: str) -> "Wired":
    """Open the shop at a place; one that nobody set up yet is no shop.

    Raises:
        ShopError: there is no shop, it was not set up, or it cannot be opened.
    """
    from printcrib.app.wiring import open_shop

    wired = open_shop(place)
    try:
        with wired.shop.read() as uow:
            if not uow.settings.count():
                raise ShopError(
                    f"No shop is set up in {_shown(place)} yet", "Set up your own shop and keep it there."
                )
    except BaseException:
        wired.close()
        raise
    return wired


def open_existing(place: str) -> str:
    """Look whether a shop can be opened at a place, and that it was set up.

    Raises:
        ShopError: nothing was named, there is no shop, or it cannot be opened.
    """
    if not place:
        raise ShopError("No shop is named", "Choose its folder or type the address of its database.")
    open_set_up(place).close()
    return place


def make_demo(progress: Callable[[float], None], cancelled: Callable[[], bool]) -> str:
    """Make the demo shop of this PC, or give the one made before.

    It is made in a folder of its own and moved when it is whole, so that stopping leaves nothing behind.

    Raises:
        ShopError: the folder cannot be written.
        CancelledError: somebody asked to stop.
    """
    if demo_is_here():
        return str(demo_folder())
    try:
        data_folder().mkdir(parents=True, exist_ok=True)
        unfinished = Path(tempfile.mkdtemp(prefix="demo-shop-", dir=data_folder()))
    except OSError as error:
        raise ShopError(
            f"The folder {data_folder()} cannot be written", "Ask whoever looks after this PC."
        ) from error
    try:
        _live(unfinished / "shop", progress, cancelled)
        _put_in_place(unfinished / "shop", demo_folder())
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return str(demo_folder())


def _live(home: Path, progress: Callable[[float], None], cancelled: Callable[[], bool]) -> None:
    """Three weeks and the story, telling how far it is at every day and every step."""
    from printcrib.app.demo.whole import make_whole_demo

    def told(share: float) -> None:
        if cancelled():
            raise CancelledError
        progress(share)

    whole = make_whole_demo(
        home,
        progress=told,
        tell=lambda step: told(min(0.99, STORY_FROM + (1 - STORY_FROM) * step.number / STORY_STEPS)),
    )
    whole.life.demo.wired.close()


def _put_in_place(made: Path, target: Path) -> None:
    if (target / DATABASE).exists():
        return  # another window was quicker
    try:
        if target.exists():
            target.rmdir()  # only an empty one: whatever else lies there is not ours
        made.replace(target)
    except OSError as error:
        raise ShopError(
            f"The folder {target} cannot be written", "Ask whoever looks after this PC."
        ) from error


def _shown(place: str) -> str:
    """A place as it may be shown: an address without its password."""
    scheme, mark, rest = place.partition("://")
    who, at, where = rest.rpartition("@")
    if not (mark and at and ":" in who):
        return place
    return f"{scheme}{mark}{who.partition(':')[0]}:...@{where}"
