"""`printcrib demo DIR`: the demo shop, the whole job told in it, its week on paper and its screens."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from printcrib.app.commands.answering import answer, say
from printcrib.app.commands.week import write_paper
from printcrib.core.errors import ShopError

if TYPE_CHECKING:
    from printcrib.app.demo.history import Life
    from printcrib.app.demo.telling import Step
    from printcrib.app.demo.whole import Whole

SIZES = ((1280, 720), (1920, 1080))
LOOKS = ("light", "dark")


def run_demo(folder: Path, as_json: bool, pictures: bool) -> int:
    """Make folder/shop, tell the story, write folder/week.pdf and folder/screens.

    Raises:
        ShopError: there is a shop in the folder already, or it cannot be written.
    """
    home = fresh_home(folder)
    tell: Callable[[str], None] = _say_nothing if as_json else say
    from printcrib.app.demo.whole import make_whole_demo

    tell(f"A demo shop of our own invention is set up in {home} and lives three weeks ...")
    whole = make_whole_demo(
        home,
        begins=lambda counts: tell(_before_words(counts)),
        tell=lambda step: _tell_step(step, tell),
    )
    with closing(whole.life.demo.wired):
        write_paper(folder / "week.pdf", whole.told.paper)
        taken = _pictures(whole.life, folder / "screens") if pictures else []
    data = _as_json(folder, whole, taken)
    answer(data, as_json, lambda: _end_lines(data))
    return 0


def fresh_home(folder: Path) -> Path:
    """Where the demo shop goes: folder/shop, which must not be there yet.

    Raises:
        ShopError: there is a shop already, or the folder cannot be made.
    """
    home = folder / "shop"
    if (home / "shop.db").exists() or (folder / "shop.db").exists():
        raise ShopError(f"There is a shop in {folder} already", "Name another folder for the demo.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ShopError(f"The folder {folder} cannot be made", "Name another one.") from error
    return home


def _say_nothing(words: str) -> None:
    """With --json only the answer at the end is said."""


def _tell_step(step: "Step", tell: Callable[[str], None]) -> None:
    who = f"{step.who}: " if step.who else ""
    first, *rest = step.words
    tell(f"{step.number:2d}. {step.at}  {first if first.startswith(step.who or ' ') else who + first}")
    for line in rest:
        tell(f"      {line}")


def _before_words(counts: dict[str, int]) -> str:
    return (
        f"Three weeks later: {counts['requests']} requests, {counts['runs']} runs taken off, "
        f"{counts['failures']} with a failure, {counts['aids']} aids, {counts['use_entries']} counts of use. "
        "Now the whole job, step by step:"
    )


def _pictures(life: "Life", folder: Path) -> list[Path]:
    from printcrib.app.pictures import take_pictures

    return take_pictures(life.demo.wired, folder, SIZES, LOOKS)


def _as_json(folder: Path, whole: "Whole", taken: list[Path]) -> dict[str, Any]:
    return {
        "shop": str(folder / "shop"),
        "now": whole.life.days.present.isoformat(),
        "before": whole.before,
        "steps": [asdict(step) for step in whole.told.steps],
        "after": whole.after,
        "week": whole.told.week,
        "paper": str(folder / "week.pdf"),
        "screens": [str(path) for path in taken],
    }


def _end_lines(data: dict[str, Any]) -> list[str]:
    lines = [
        f"It is {data['now'][:16].replace('T', ' ')} UTC in the shop: "
        f"{data['after']['open_requests']} requests are open.",
        f"The shop is in {data['shop']}, its week {data['week']} in {data['paper']}.",
    ]
    if data["screens"]:
        lines.append(f"{len(data['screens'])} pictures are in {Path(data['screens'][0]).parent}.")
    return [*lines, f"Open it: printcrib --shop {data['shop']}"]
