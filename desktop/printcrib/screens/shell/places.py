"""The nine places of the window: what each is called and how its page is made."""

from collections.abc import Callable
from dataclasses import dataclass

from printcrib.screens.parts.page import PageFrame

PLACE_WORDS: tuple[tuple[str, str], ...] = (
    ("desk", "Desk"),
    ("requests", "Requests"),
    ("run_sheet", "Run sheet"),
    ("spool_rack", "Spool rack"),
    ("aids", "Aids in service"),
    ("trouble_log", "Trouble log"),
    ("pattern_book", "Pattern book"),
    ("week_summary", "Week summary"),
    ("shop_settings", "Shop settings"),
)
"""Id and words of every place, in the order of the side list; the id is also the icon's name."""


@dataclass(frozen=True)
class Place:
    """One place of the side list.

    Attributes:
        id: as in PLACE_WORDS; also the icon's name.
        words: what the side list says.
        make: makes its page; called once, when the place is first opened.
    """

    id: str
    words: str
    make: Callable[[], PageFrame]
