"""What the Trouble log does: show what failed, log a failure, name a cause."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.runs import Failure
from printcrib.screens.shell.standing import Standing
from printcrib.services.interfaces import Done, Shop
from printcrib.services.log_failure import Trouble, log_failure, name_cause
from printcrib.services.look_at_failable import FailableRun, look_at_failable
from printcrib.services.look_at_trouble import TroubleLog, TroubleRow, look_at_trouble
from printcrib.services.press import Press
from printcrib.services.read_model import keep_photo

CONCERNS = frozenset({"failures", "runs", "printers"})


class TroubleView(Protocol):
    """What the page can show."""

    def show_log(self, log: TroubleLog) -> None:
        """Rows, Pareto and rates."""
        ...

    def ask_failure(self, runs: Sequence[FailableRun], copy_id: int | None = None) -> None:
        """Which run failed, with which copies, and why; begun at one copy when it is named."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def close_question(self) -> None:
        """The question is answered."""
        ...


class TroublePresenter:
    """Stands between the Trouble log and the use cases."""

    def __init__(self, standing: Standing, view: TroubleView) -> None:
        self._standing, self._view = standing, view

    def load(self) -> None:
        """Read the log."""
        self._standing.look(look_at_trouble, self._view.show_log)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def ask_failure(self, copy_id: int | None = None) -> None:
        """Begin to log a failure, of one copy when another place led here with it."""
        self._standing.look(look_at_failable, lambda runs: self._on_runs(runs, copy_id))

    def log(self, run: FailableRun, copy_ids: Sequence[int], trouble: Trouble, photo: bytes = b"") -> None:
        """Log it; a photo is kept first."""

        def work(shop: Shop, press: Press) -> Done[Failure]:
            told = replace(trouble, photo_sha=keep_photo(shop, photo, "photo"))
            return log_failure(shop, press, run.run.id, told, copy_ids)

        self._standing.act(
            work,
            lambda failure: f"{run.words}: {failure.cause} logged.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def name(self, row: TroubleRow, cause: str, done_about_it: str) -> None:
        """Name the cause of a failure, and what was done about it."""
        self._standing.act(
            lambda shop, press: name_cause(
                shop, press, row.failure.id, cause, done_about_it=done_about_it.strip()
            ),
            f"Run {row.run_number}: {cause}.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def _on_runs(self, runs: tuple[FailableRun, ...], copy_id: int | None) -> None:
        first = [run for run in runs if copy_id in dict(run.copies)]
        if copy_id is not None and not first:
            self._standing.messages.problem(
                "That copy is not at the desk any more. Look at its request again."
            )
        elif runs:
            rest = [run for run in runs if run not in first]
            self._view.ask_failure([*first, *rest], copy_id)
        else:
            self._standing.messages.problem(
                "No run is on a printer and no copy waits at the desk. Start a run first, or run by hand."
            )
