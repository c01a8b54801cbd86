"""Leads the run sheet: the kept plan or a proposal, planning again, one run in full."""

from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.runs import Plan
from printcrib.screens.run_sheet.words import Head, ListRow, head_of, off_sheet
from printcrib.screens.shell.messages import Answer
from printcrib.screens.shell.one_reading import OneReading
from printcrib.screens.shell.print_files import PrintFiles
from printcrib.screens.shell.standing import Standing
from printcrib.services.give_print_file import RunFile
from printcrib.services.interfaces import Done, Shop
from printcrib.services.look_at_run import RunPage, look_at_run
from printcrib.services.look_at_runs import RunSheet, look_at_runs
from printcrib.services.plan_runs import DISPATCH, Cancelled, Progress, keep_plan, propose_plan
from printcrib.services.press import Press

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
        "materials",
        "estimates",
        "releases",
        "sizes",
        "models",
        "shifts",
        "closed_days",
        "settings",
        "unattended",
    }
)
"""Kinds of record a plan is made of."""


class RunSheetScreen(Protocol):
    """What the page can show and ask."""

    def show_sheet(self, sheet: RunSheet, head: Head) -> None:
        """Lanes and list of a plan."""
        ...

    def show_run(self, page: RunPage, row: ListRow) -> None:
        """One run in full."""
        ...

    def doubt_file(self, run_id: int, file: RunFile) -> None:
        """A print file was read that does not look like that of the run."""
        ...

    def file_given(self, run_id: int) -> None:
        """A run has its print file."""
        ...

    def file_refused(self, sentence: str) -> bool:
        """Say where the run is shown why its print file is refused; False when it is not shown any more."""
        ...


def planned_anew(
    shop: Shop, press: Press, progress: Progress | None = None, cancelled: Cancelled | None = None
) -> Done[Plan]:
    """A proposal made in the background; the names of its arguments let the worker offer both."""
    return propose_plan(shop, press, DISPATCH, progress, cancelled)


class RunSheetPresenter:
    """Shows the kept plan, or the proposal somebody asked for.

    Attributes:
        plan_id: of the proposal shown; None for the kept plan.
    """

    def __init__(self, standing: Standing, screen: RunSheetScreen) -> None:
        self._standing, self._screen = standing, screen
        self._files = PrintFiles(standing)
        self.plan_id: int | None = None
        self._sheet: RunSheet | None = None
        self._reading = OneReading(self.look)

    @property
    def sheet(self) -> RunSheet | None:
        """The sheet as it was read last."""
        return self._sheet

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change may show on the sheet."""
        return bool(things & CONCERNS)

    def look(self) -> None:
        """Read the sheet anew; once more when something changed while it was being read."""
        if not self._reading.begin():
            return
        plan_id = self.plan_id
        self._standing.look(
            lambda shop: look_at_runs(shop, plan_id),
            lambda sheet: self._on_sheet(sheet, plan_id),
            failed=self._on_unseen,
        )

    def press(self) -> None:
        """The main button: plan again, or keep the proposal shown."""
        if self._sheet is not None and self._sheet.is_proposal and self.plan_id is not None:
            self._keep(self.plan_id)
        else:
            self.plan_again()

    def beside(self) -> None:
        """The button beside it: leave the proposal, or see the one that waits."""
        if self._sheet is None:
            return
        self.plan_id = None if self._sheet.is_proposal else self._sheet.proposal_id
        self.look()

    def plan_again(self) -> None:
        """Make a proposal in the background, with progress and a way to cancel; the kept plan stays live."""
        self._standing.act(
            planned_anew,
            "A plan is proposed; the kept one stays live until you keep it.",
            then=self._on_proposed,
            undoable=False,
            words="Planning",
        )

    def open(self, row: ListRow) -> None:
        """One run in full, or the request that could not be planned."""
        run_id = row.run_id
        if row.request_id is not None:
            self._standing.open_place("requests", row.request_id)
        elif run_id is None:
            self._standing.messages.say("This run gets its number once the plan is kept.", icon="clock")
        else:
            self._standing.look(
                lambda shop: look_at_run(shop, run_id), lambda page: self._screen.show_run(page, row)
            )

    def open_off_sheet(self, run_id: int) -> None:
        """One run in full that another place led to and the sheet does not show any more."""
        self._standing.look(
            lambda shop: look_at_run(shop, run_id),
            lambda page: self._screen.show_run(page, off_sheet(run_id)),
        )

    def read_print_file(self, run_id: int, path: str) -> None:
        """Read the print file of a run on its printer; one that leaves no doubt is taken at once."""
        self._files.read(run_id, path, lambda file: self._on_file(run_id, file), self._on_file_refused)

    def give_print_file(self, run_id: int, file: RunFile) -> None:
        """The run takes its minutes and grams."""
        self._files.give(run_id, file, lambda _run: self._screen.file_given(run_id))

    def open_place(self, place_id: str, key: int | None = None) -> None:
        """Go to another place."""
        self._standing.open_place(place_id, key)

    def _on_file(self, run_id: int, file: RunFile) -> None:
        if file.doubts:
            self._screen.doubt_file(run_id, file)
        else:
            self.give_print_file(run_id, file)

    def _on_file_refused(self, error: ShopError) -> None:
        if not self._screen.file_refused(str(error)):
            self._standing.messages.problem(error)

    def _keep(self, plan_id: int) -> None:
        self._standing.act(
            lambda shop, press: keep_plan(shop, press, plan_id),
            "The plan is kept; its runs have their numbers.",
            then=self._on_kept,
        )

    def _on_proposed(self, plan: Plan) -> None:
        self.plan_id = plan.id
        self.look()

    def _on_kept(self, _plan: Plan) -> None:
        self.plan_id = None
        self.look()

    def _on_unseen(self, error: ShopError) -> None:
        see_kept = Answer("See the kept plan", self.look, icon="run_sheet")
        self._standing.messages.problem(error, None if self.plan_id is None else see_kept)
        self.plan_id = None
        self._reading.over()

    def _on_sheet(self, sheet: RunSheet, asked: int | None) -> None:
        """Show what was read, unless another plan was asked for meanwhile."""
        self._reading.over()
        if asked != self.plan_id:
            return
        if not sheet.is_proposal:  # another window kept it, or planned again
            self.plan_id = None
        self._sheet = sheet
        self._screen.show_sheet(sheet, head_of(sheet))
