"""Leads the Desk: what is shown, and what follows from a press."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.screens.desk.acts import DeskActs
from printcrib.screens.desk.words import Card, SideItem, SideList, card_of, loss_words, side_lists
from printcrib.screens.shell.one_reading import OneReading
from printcrib.screens.shell.print_files import PrintFiles
from printcrib.screens.shell.standing import Standing
from printcrib.services.find_next_steps import NextSteps, StepKind
from printcrib.services.give_print_file import RunFile
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_copies import CopiesAtDesk, look_at_copies
from printcrib.services.look_at_desk import DeskPrinter, DeskView, look_at_desk
from printcrib.services.look_at_run import RunPage, look_at_run
from printcrib.services.look_at_start import BeforeStart, OnPrinter, look_at_printer, look_at_start
from printcrib.services.start_run import AS_THE_BOOKS_SAY
from printcrib.services.stop_run import Stopped, what_stopping_loses
from printcrib.services.take_off_run import ALL_GOOD

CONCERNS = frozenset(
    {
        "requests",
        "copies",
        "holds",
        "runs",
        "plans",
        "printers",
        "nozzles",
        "spools",
        "spool_entries",
        "aids",
        "use_entries",
        "machine_readings",
        "releases",
        "patterns",
        "sizes",
        "materials",
        "stock_minimums",
        "shifts",
        "closed_days",
        "settings",
        "failures",
    }
)
"""Kinds of record the Desk shows something of."""


@dataclass(frozen=True)
class Seen:
    """The Desk as it is read in one go."""

    desk: DeskView
    copies: CopiesAtDesk


def look(shop: Shop) -> Seen:
    """Printers, lists, and what lies off the printers."""
    return Seen(look_at_desk(shop), look_at_copies(shop))


class DeskScreen(Protocol):
    """What the page can show and ask."""

    def show_desk(self, seen: Seen, card: Card, lists: tuple[SideList, ...]) -> None:
        """The step card, a row for every printer, the side lists."""
        ...

    def ask_take_off(self, page: RunPage, choices: OnPrinter, sentence: str) -> None:
        """Copy by copy, with minutes and grams."""
        ...

    def ask_start(self, before: BeforeStart, refusal: str) -> None:
        """What is really on the printer."""
        ...

    def take_file(self, run_id: int, file: RunFile) -> None:
        """Minutes and grams of the print file, on the sheet that asks for the start."""
        ...

    def ask_printer(self, printer: DeskPrinter, choices: OnPrinter) -> None:
        """All that can be done at one printer."""
        ...

    def ask_stop(self, stopped: Stopped, page: RunPage) -> None:
        """How far it got, and what stopping loses."""
        ...

    def show_loss(self, words: str) -> None:
        """What stopping at another share would lose."""
        ...

    def ask_bench(self, copies: CopiesAtDesk) -> None:
        """Copies to check, to finish, to hand out."""
        ...

    def booked(self) -> None:
        """A press was booked: what asked for it goes away, "really at" is now again."""
        ...

    def refused(self, sentence: str) -> bool:
        """Say it where it was asked; False when nothing asks any more."""
        ...


class DeskPresenter:
    """Shows what hands do next, and books their presses.

    Attributes:
        serving: key of the printer somebody chose to serve, None for the one due first.
        really_at: when the next press really happened, None for now.
    """

    def __init__(self, standing: Standing, screen: DeskScreen) -> None:
        self._standing, self._screen = standing, screen
        self.acts = DeskActs(standing, self)
        self._files = PrintFiles(standing)
        self.serving: int | None = None
        self.really_at: datetime | None = None
        self._seen: Seen | None = None
        self._card: Card | None = None
        self._reading = OneReading(self.look)

    @property
    def seen(self) -> Seen | None:
        """The Desk as it was read last."""
        return self._seen

    def look(self) -> None:
        """Read the Desk anew; once more when something changed while it was being read."""
        if self._reading.begin():
            self._standing.look(look, self._on_seen, failed=self._on_unseen)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows on the Desk."""
        return bool(things & CONCERNS)

    def serve(self, printer_id: int | None) -> None:
        """Show the steps at another printer than the one due first; None for that one again."""
        self.serving = printer_id
        if self._seen is not None:
            self._show(self._seen)

    def press(self) -> None:
        """The large button: all good, start as planned, or the way to begin."""
        card = self._card
        if card is None:
            return
        if card.press == "raise":
            self._standing.raise_request()
        elif card.steps_at is None:
            self._standing.open_place(card.press)
        elif card.press == "take off":
            self._take_off_at_once(card.steps_at)
        else:
            self._start_at_once(card.steps_at)

    def not_so(self) -> None:
        """The button beside it: not all good, not as planned."""
        steps = None if self._card is None else self._card.steps_at
        if steps is None:
            return
        if steps.press is StepKind.TAKE_OFF and steps.run_id is not None:
            self.ask_take_off(steps.run_id)
        else:
            self.ask_start(steps.printer_id)

    # What is asked.

    def ask_take_off(self, run_id: int, sentence: str = "") -> None:
        """Ask copy by copy."""

        def work(shop: Shop) -> tuple[RunPage, OnPrinter]:
            page = look_at_run(shop, run_id)
            return page, look_at_printer(shop, page.run.printer_id)

        self._standing.look(work, lambda both: self._screen.ask_take_off(*both, sentence))

    def ask_start(self, printer_id: int, refusal: str = "") -> None:
        """Ask what is really on the printer."""
        self._standing.look(
            lambda shop: look_at_start(shop, printer_id),
            lambda before: self._screen.ask_start(before, refusal),
        )

    def read_print_file(self, run_id: int, path: str) -> None:
        """Read the print file of a run about to start; it is booked with the start."""
        self._files.read(run_id, path, lambda file: self._screen.take_file(run_id, file), self.refused)

    def ask_printer(self, printer_id: int) -> None:
        """Show all that can be done at a printer."""
        row = self._row(printer_id)
        if row is not None:
            self._standing.look(
                lambda shop: look_at_printer(shop, printer_id),
                lambda choices: self._screen.ask_printer(row, choices),
            )

    def ask_stop(self, run_id: int) -> None:
        """Say first what stopping loses."""
        self._standing.look(
            lambda shop: (what_stopping_loses(shop, run_id), look_at_run(shop, run_id)),
            lambda both: self._screen.ask_stop(*both),
        )

    def loss_at(self, run_id: int, percent: int) -> None:
        """What stopping loses when it got so far."""
        self._standing.look(
            lambda shop: what_stopping_loses(shop, run_id, percent),
            lambda stopped: self._screen.show_loss(loss_words(stopped.lost)),
        )

    def follow(self, item: SideItem) -> None:
        """A line of the side column leads to its place, or to what lies off the printers."""
        if item.place:
            self._standing.open_place(item.place, item.key)
        elif self._seen is not None:
            self._screen.ask_bench(self._seen.copies)

    def open_place(self, place_id: str, key: int | None = None) -> None:
        """Go to another place."""
        self._standing.open_place(place_id, key)

    # How it goes on.

    def booked(self, result: object) -> None:
        """A press is in the books: its sheet goes away, "really at" is now again."""
        self.serving = None
        self.really_at = None
        self._screen.booked()
        if not self._reading.under_way:
            self.look()

    def bench_changed(self, result: object) -> None:
        """A copy went on; the sheet stays while others lie there."""
        self._standing.look(look, self._on_bench)

    def refused(self, error: ShopError) -> None:
        """Say it where it was asked, else in the strip."""
        if not self._screen.refused(str(error)):
            self._standing.messages.problem(error)

    def start_refused(self, printer_id: int, error: ShopError) -> None:
        """A start refused is asked on its own sheet, where what would do can be pressed."""
        if not self._screen.refused(str(error)):
            self.ask_start(printer_id, str(error))

    def _on_bench(self, seen: Seen) -> None:
        self._on_seen(seen)
        if seen.copies.count:
            self._screen.ask_bench(seen.copies)
        else:
            self._screen.booked()

    def _on_unseen(self, error: ShopError) -> None:
        self._reading.over()
        self._standing.messages.problem(error)

    def _on_seen(self, seen: Seen) -> None:
        self._reading.over()
        self._seen = seen
        self._standing.messages.set_next(f"Next swap {seen.desk.next_swap}" if seen.desk.next_swap else "")
        self._show(seen)

    def _show(self, seen: Seen) -> None:
        self._card = card_of(seen.desk, self.serving)
        self._screen.show_desk(seen, self._card, side_lists(seen.desk, seen.copies))

    def _take_off_at_once(self, steps: NextSteps) -> None:
        """All good in one press, unless the clock, a stop or a run by hand leaves something to ask."""
        row = self._row(steps.printer_id)
        run_id = steps.run_id
        if row is None or row.run is None or run_id is None:
            return
        if row.run.by_hand or row.run.stopped:
            self.ask_take_off(run_id)
        elif not row.run.over:
            self.ask_take_off(run_id, f"By the clock it {row.run.below or 'is not over'}. Is it off already?")
        else:
            self.acts.take_off(run_id, ALL_GOOD, self.really_at)

    def _start_at_once(self, steps: NextSteps) -> None:
        """As planned in one press, unless nobody can be sure what is on the printer."""

        def asked(before: BeforeStart) -> None:
            if before.unsure:
                self._screen.ask_start(before, "")
            else:
                self.acts.start(steps.printer_id, steps.printer_name, AS_THE_BOOKS_SAY, self.really_at)

        self._standing.look(lambda shop: look_at_start(shop, steps.printer_id), asked)

    def _row(self, printer_id: int) -> DeskPrinter | None:
        rows = () if self._seen is None else self._seen.desk.printers
        return next((row for row in rows if row.printer.id == printer_id), None)
