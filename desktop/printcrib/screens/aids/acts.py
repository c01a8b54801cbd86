"""What the place books: each press is one use case, with its sentence and Undo in the strip."""

from datetime import datetime
from typing import Protocol

from printcrib.core.aids import Aid, RetireReason
from printcrib.core.errors import ShopError
from printcrib.screens.aids import words
from printcrib.screens.shell.standing import Standing
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import (
    CounterLower,
    answer_none,
    answer_number,
    answer_same_as_usual,
    correct_count,
    count_use,
    read_counter,
)
from printcrib.services.due_reprints import it_is_this_one, print_another
from printcrib.services.finish_copy import shelve
from printcrib.services.hand_out_aid import To, hand_out_aid
from printcrib.services.look_at_copies import ReadyCopy
from printcrib.services.look_at_counters import MachineCounter
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import back_to_shelf, check_aid, set_aside


class After(Protocol):
    """How it goes on after a press."""

    def booked(self, result: object) -> None:
        """It is in the books."""
        ...

    def answered(self, result: object) -> None:
        """A weekly question is answered; the others are still there."""
        ...

    def retired(self, aid: Aid) -> None:
        """An aid left service."""
        ...

    def refused(self, error: ShopError) -> None:
        """It was refused."""
        ...

    def counter_lower(self, error: CounterLower) -> None:
        """The counter shows less than before: was it reset?"""
        ...


class AidActs:
    """Books what was done with aids.

    Every act takes `really_at`, the person's own time, None for now.
    """

    def __init__(self, standing: Standing, after: After) -> None:
        self._standing, self._after = standing, after

    def count(self, aid_id: int, amount: int, really_at: datetime | None = None) -> None:
        """So much more use."""
        self._standing.act(
            lambda shop, press: count_use(shop, press, aid_id, amount),
            words.counted_words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def correct(self, aid_id: int, count_now: int, really_at: datetime | None = None) -> None:
        """The count is really this."""
        self._standing.act(
            lambda shop, press: correct_count(shop, press, aid_id, count_now),
            words.corrected_words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def read_counter(
        self,
        machine: MachineCounter,
        counter: int,
        really_at: datetime | None = None,
        *,
        was_reset: bool | None = None,
    ) -> None:
        """What the part counter shows; a lower one asks whether it was reset."""

        def refused(error: ShopError) -> None:
            if isinstance(error, CounterLower):
                self._after.counter_lower(error)
            else:
                self._after.refused(error)

        self._standing.act(
            lambda shop, press: read_counter(shop, press, machine.machine_id, counter, was_reset),
            lambda taken: words.reading_words(taken, machine.name),
            then=self._after.answered,
            failed=refused,
            really_at=really_at,
        )

    def hand_out(self, aid_id: int, to: To, machine: str, really_at: datetime | None = None) -> None:
        """An aid goes to a machine; the old one comes off."""
        self._standing.act(
            lambda shop, press: hand_out_aid(shop, press, aid_id, to),
            lambda handed: words.handed_words(handed, machine),
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def shelve_copy(self, copy: ReadyCopy) -> None:
        """A good copy lies on the shelf as a spare."""
        self._standing.act(
            lambda shop, press: shelve(shop, press, copy.copy_id),
            f"{copy.aid_tag} {copy.name} is on the shelf, a spare.",
            then=self._after.booked,
            failed=self._after.refused,
        )

    def set_aside(self, aid_id: int, why: str, really_at: datetime | None = None) -> None:
        """Not used until somebody checked it."""
        self._standing.act(
            lambda shop, press: set_aside(shop, press, aid_id, why),
            lambda aid: f"{aid.tag} is set aside: {aid.aside_why}.",
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def check(self, aid_id: int, new_limit: int, really_at: datetime | None = None) -> None:
        """Checked: a new limit, and back to where it was."""
        self._standing.act(
            lambda shop, press: check_aid(shop, press, aid_id, new_limit),
            words.checked_words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def to_shelf(self, aid_id: int, place: str = "", really_at: datetime | None = None) -> None:
        """Off its machine, on the shelf."""
        self._standing.act(
            lambda shop, press: back_to_shelf(shop, press, aid_id, place),
            words.shelved_words,
            then=self._after.booked,
            failed=self._after.refused,
            really_at=really_at,
        )

    def retire(self, aid_id: int, reason: RetireReason, really_at: datetime | None = None) -> None:
        """Out of service."""
        self._standing.act(
            lambda shop, press: retire(shop, press, aid_id, reason),
            words.retired_words,
            then=self._after.retired,
            failed=self._after.refused,
            really_at=really_at,
        )

    def print_another(self, aid_id: int, name: str) -> None:
        """Ask for the next one at once."""
        self._standing.act(
            lambda shop, press: print_another(shop, press, aid_id),
            lambda request: f"{request.tag} asks for another {name}.",
            then=self._after.booked,
            failed=self._after.refused,
        )

    def this_one(self, aid_id: int, tag: str, request_id: int, request_tag: str, yes: bool) -> None:
        """The open request is the next one of this aid, or it is another one."""
        self._standing.act(
            lambda shop, press: it_is_this_one(shop, press, aid_id, request_id, yes),
            lambda request: (
                f"{request_tag} is the next one of {tag}."
                if yes
                else f"{request.tag} asks for the next one of {tag}."
            ),
            then=self._after.booked,
            failed=self._after.refused,
        )

    def same_as_usual(self, question: Question, really_at: datetime | None = None) -> None:
        """Used as always; booked as assumed."""
        self._standing.act(
            lambda shop, press: answer_same_as_usual(shop, press, question.aid_id),
            words.counted_words,
            then=self._after.answered,
            failed=self._after.refused,
            really_at=really_at,
        )

    def not_used(self, question: Question, really_at: datetime | None = None) -> None:
        """Not used since."""
        self._standing.act(
            lambda shop, press: answer_none(shop, press, question.aid_id),
            f"{question.tag} was not used; the books know it now.",
            then=self._after.answered,
            failed=self._after.refused,
            really_at=really_at,
        )

    def so_many(self, question: Question, number: int, really_at: datetime | None = None) -> None:
        """So many since."""
        self._standing.act(
            lambda shop, press: answer_number(shop, press, question.aid_id, number),
            words.counted_words,
            then=self._after.answered,
            failed=self._after.refused,
            really_at=really_at,
        )
