"""What the Week summary does: which week and page is shown, and where the PDF goes."""

from pathlib import Path
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.screens.parts.write_files import named, write_whole
from printcrib.screens.shell.messages import Answer
from printcrib.screens.shell.standing import Standing
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_week import WeekPage, look_at_week, week_pictures

PIXELS_PER_INCH = 170.0
"""Sharp enough for the preview at 1920 x 1080; a page then takes about 0.1 s."""

CONCERNS = frozenset(
    {"requests", "copies", "runs", "spool_entries", "failures", "aids", "use_entries", "promises", "releases"}
)
"""Kinds of record the report counts; other changes leave the preview as it is."""


class WeekView(Protocol):
    """What the page can show."""

    def show_week(self, page: WeekPage) -> None:
        """Head, dates and remarks of a week."""
        ...

    def show_sheet(self, picture: bytes | None, number: int, count: int) -> None:
        """One page of the report as it prints; None while it is being set."""
        ...

    def ask_where(self, file_name: str) -> Path | None:
        """Where the PDF goes; None when the person thinks better of it."""
        ...


class WeekPresenter:
    """Goes from week to week and from page to page.

    Attributes:
        text: the ISO week shown, "" for the one the shop is in.
    """

    def __init__(self, standing: Standing, view: WeekView) -> None:
        self._standing, self._view = standing, view
        self.text = ""
        self._page: WeekPage | None = None
        self._sheets: tuple[bytes, ...] = ()
        self._at = 0

    @property
    def page(self) -> WeekPage | None:
        """The week shown now."""
        return self._page

    def open(self, text: str = "") -> None:
        """Show a week; "" is the one the shop is in."""
        self.text = text
        self._standing.look(lambda shop: look_at_week(shop, text), self._on_week, failed=self._refused)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows in the week on the screen."""
        return bool(things & CONCERNS)

    def earlier(self) -> None:
        """The week before."""
        if self._page is not None:
            self.open(self._page.before)

    def later(self) -> None:
        """The week after, unless it has not begun."""
        if self._page is not None and self._page.after is not None:
            self.open(self._page.after)

    def turn(self, by: int) -> None:
        """Another page of the report."""
        if self._sheets:
            self._at = min(max(self._at + by, 0), len(self._sheets) - 1)
            self._show_sheet()

    def save(self) -> None:
        """Write the PDF where the person says."""
        page = self._page
        if page is None:
            return
        target = self._view.ask_where(page.file_name)
        if target is None:
            return

        def work(shop: Shop) -> Path:
            return write_pdf(target, shop.reports.week_pdf(page.data))

        self._standing.look(work, self._saved, words="Setting the report")

    def _saved(self, target: Path) -> None:
        self._standing.messages.say(f"Saved as {target.name} in {target.parent}.", Answer("Good", _nothing))

    def _on_week(self, page: WeekPage) -> None:
        fresh = self._page is None or page.week.week != self._page.week.week
        self._page, self._at = page, 0 if fresh else self._at
        self._view.show_week(page)
        if fresh:
            self._sheets = ()
            self._view.show_sheet(None, 0, 0)
        self._standing.look(lambda shop: week_pictures(shop, page, PIXELS_PER_INCH), self._on_sheets)

    def _on_sheets(self, sheets: tuple[bytes, ...]) -> None:
        self._sheets = sheets
        self._at = min(self._at, max(len(sheets) - 1, 0))
        self._show_sheet()

    def _show_sheet(self) -> None:
        picture = self._sheets[self._at] if self._sheets else None
        self._view.show_sheet(picture, self._at + 1, len(self._sheets))

    def _refused(self, error: ShopError) -> None:
        self._standing.messages.problem(error)


def write_pdf(target: Path, content: bytes) -> Path:
    """Write the report whole or not at all.

    Raises:
        ShopError: the place cannot be written to.
    """
    path = named(target, ".pdf")
    write_whole({path: content})
    return path


def _nothing() -> None:
    """The message goes away."""
