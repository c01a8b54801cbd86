"""What the Desk books: each press is one use case, with its sentence and Undo in the strip."""

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol

from printcrib.core.calendar import moment_words
from printcrib.core.errors import ShopError
from printcrib.screens.shell.standing import Standing
from printcrib.services.finish_copy import finish_copies, finish_step, shelve
from printcrib.services.fit_nozzle import fit_nozzle
from printcrib.services.hand_out_aid import hand_out
from printcrib.services.judge_copies import Verdict, judge_copies
from printcrib.services.load_spool import load_spool
from printcrib.services.log_failure import Trouble, log_failure
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import TakeOff, take_off_run


class After(Protocol):
    """How it goes on after a press."""

    def booked(self, result: object) -> None:
        """It is in the books."""
        ...

    def bench_changed(self, result: object) -> None:
        """A copy off the printers went on; the others are still there to see to."""
        ...

    def refused(self, error: ShopError) -> None:
        """It was refused."""
        ...

    def start_refused(self, printer_id: int, error: ShopError) -> None:
        """A start was refused; what would do can be pressed."""
        ...


class DeskActs:
    """Books what hands did."""

    def __init__(self, standing: Standing, after: After) -> None:
        self._standing, self._after = standing, after

    def take_off(self, run_id: int, told: TakeOff, really_at: datetime | None = None) -> None:
        """Off the printer, as told."""
        self._standing.act(
            lambda shop, press: take_off_run(shop, press, run_id, told),
            lambda taken: taken.words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def start(self, printer_id: int, name: str, told: Start, really_at: datetime | None = None) -> None:
        """Nozzle, spool and start as one."""
        self._standing.act(
            lambda shop, press: start_next(shop, press, printer_id, told),
            lambda run: f"Run {run.number} started on {name}{self._until('ends', run.planned_end)}.",
            then=self._after.booked,
            failed=lambda error: self._after.start_refused(printer_id, error),
            really_at=really_at,
        )

    def stop(
        self, run_id: int, percent: int | None, cause: str = "", really_at: datetime | None = None
    ) -> None:
        """Stopped by hand, or failed of a cause; nothing is booked until it is taken off."""
        if cause:
            self._standing.act(
                lambda shop, press: log_failure(shop, press, run_id, Trouble(cause=cause, percent=percent)),
                f"Stopped and logged: {cause}. Take it off next.",
                then=self._after.booked,
                failed=self._after.refused,
                really_at=really_at,
            )
            return
        self._standing.act(
            lambda shop, press: stop_run(shop, press, run_id, percent),
            lambda stopped: stopped.words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def run_by_hand(
        self,
        printer_id: int,
        name: str,
        free_again_at: datetime,
        *,
        spool_id: int | None = None,
        what: str = "",
        really_at: datetime | None = None,
    ) -> None:
        """Somebody started something there; the plan goes round it."""
        self._standing.act(
            lambda shop, press: run_by_hand(
                shop, press, printer_id, free_again_at, spool_id=spool_id, name=what
            ),
            lambda by_hand: (
                f"Run {by_hand.run.number} by hand on {name}{self._until('free again about', free_again_at)}."
            ),
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def fit(self, printer_id: int, nozzle_id: int, really_at: datetime | None = None) -> None:
        """Another nozzle is on it."""
        self._standing.act(
            lambda shop, press: fit_nozzle(shop, press, printer_id, nozzle_id),
            lambda printer: f"Nozzle changed on {printer.name}.",
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def load(
        self, printer_id: int, spool_id: int, *, old_is_empty: bool = False, really_at: datetime | None = None
    ) -> None:
        """Another spool is on it."""
        self._standing.act(
            lambda shop, press: load_spool(shop, press, printer_id, spool_id, old_is_empty=old_is_empty),
            lambda printer: f"Spool changed on {printer.name}.",
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def judge(self, verdicts: Mapping[int, Verdict], really_at: datetime | None = None) -> None:
        """Copies to check are good, failed or not wanted."""
        self._standing.act(
            lambda shop, press: judge_copies(shop, press, verdicts),
            lambda judged: f"Copies judged: {judged.words}.",
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def finish(self, copy_id: int, tag: str, step: str) -> None:
        """One finishing step of a copy is done."""
        self._standing.act(
            lambda shop, press: finish_step(shop, press, copy_id),
            f"{tag}: {step or 'finished'}, done.",
            then=self._after.bench_changed,
            failed=self._after.refused,
        )

    def finish_all(self, copy_ids: tuple[int, ...]) -> None:
        """All steps of these copies are done."""
        self._standing.act(
            lambda shop, press: finish_copies(shop, press, copy_ids),
            lambda ready: f"{len(ready)} cop{'y is' if len(ready) == 1 else 'ies are'} ready.",
            then=self._after.bench_changed,
            failed=self._after.refused,
        )

    def hand_out(self, copy_id: int, tag: str, to: str) -> None:
        """A ready copy goes where its request says."""
        self._standing.act(
            lambda shop, press: hand_out(shop, press, copy_id),
            lambda handed: f"{tag} handed out to {to}{f', {handed.mark}' if handed.mark else ''}.",
            then=self._after.bench_changed,
            failed=self._after.refused,
        )

    def shelve(self, copy_id: int, tag: str) -> None:
        """A ready copy goes on the shelf."""
        self._standing.act(
            lambda shop, press: shelve(shop, press, copy_id),
            f"{tag} is on the shelf.",
            then=self._after.bench_changed,
            failed=self._after.refused,
        )

    def _until(self, words: str, moment: datetime | None) -> str:
        if moment is None:
            return ""
        return f", {words} {moment_words(self._standing.now(), moment, str(self._standing.zone))}"
