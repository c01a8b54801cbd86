"""What is done with one request, each act one use case; answers to a panel go back to it. No Qt."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol, TypeVar

from printcrib.core.advice import Rest
from printcrib.core.errors import ShopError
from printcrib.core.mending import DONE, Mend
from printcrib.core.requests import HoldKind, Request, RequestState
from printcrib.core.shapes import Mesh
from printcrib.screens.requests.columns import NozzleColumn
from printcrib.screens.requests.form_model import MOST_BYTES, file_bytes
from printcrib.screens.requests.one_acts import finishing, to_hand_out
from printcrib.screens.requests.presenter import accepted_words
from printcrib.screens.shell.standing import Standing
from printcrib.services.accept_request import accept_request, send_back
from printcrib.services.answer_safety import answer_safety, answer_same_use
from printcrib.services.change_request import (
    Changed,
    change_details,
    change_model,
    change_quantity,
    choose_size,
    lay_on_face,
    mend_model,
    turn_model,
)
from printcrib.services.decide_copies import Decision, decide_copies
from printcrib.services.finish_copy import finish_copies, finish_step, say_fit, shelve
from printcrib.services.hand_out_aid import HandedOut, hand_out
from printcrib.services.hold_request import hold_request, let_go_on
from printcrib.services.interfaces import Done, Shop
from printcrib.services.judge_copies import GOOD, judge_copies
from printcrib.services.look_at_request import RequestPage
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile
from printcrib.services.release_use import Terms, release, take_back
from printcrib.services.take_request import raise_kept, same_again
from printcrib.services.withdraw_request import withdraw_request

T = TypeVar("T")
Refused = Callable[[ShopError], None]
_OVER = (RequestState.DONE, RequestState.WITHDRAWN)


@dataclass(frozen=True)
class Shown:
    """One request as the page shows it.

    Attributes:
        acts: what the person may do. main: the one that brings it further, "" for none.
        desk: whether the desk's choices are offered.
    """

    page: RequestPage
    acts: tuple[str, ...]
    main: str
    desk: bool


class OneView(Protocol):
    """One request on the page."""

    def show_request(self, shown: Shown) -> None:
        """Everything but model, photo and answer."""
        ...

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        """The model's picture, or why there is none."""
        ...

    def show_photo(self, content: bytes | None) -> None:
        """The photo that came with it."""
        ...

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str) -> None:
        """The answer of each nozzle, or a sentence instead."""
        ...

    def show_advice(self, nozzle: str, lies: str) -> None:
        """Which nozzle is recommended and how the model best lies, each with its reason."""
        ...

    def show_gone(self, sentence: str) -> None:
        """It cannot be shown."""
        ...

    def open_request(self, request_id: int) -> None:
        """Show another request."""
        ...

    def booked(self) -> None:
        """A press is booked; the next one is at its own time again."""
        ...


class OneDoing:
    """Does what is pressed on one request's page.

    Attributes:
        request_id: key of the request, 0 for none. page: as it was read last.
        really_at: the person's own time for the next press.
    """

    def __init__(self, standing: Standing, view: OneView) -> None:
        self._standing, self._view = standing, view
        self.request_id = 0
        self.page: RequestPage | None = None
        self.really_at: datetime | None = None

    def load(self) -> None:
        """Read the request anew."""
        raise NotImplementedError

    def accept(self) -> None:
        """The desk accepts it: copies are wanted from now on."""
        self._act(lambda shop, press: accept_request(shop, press, self.request_id), accepted_words)

    def raise_again(self) -> None:
        """A draft, or what was sent back, goes to the desk."""
        self._act(
            lambda shop, press: raise_kept(shop, press, self.request_id),
            lambda request: f"{request.tag} is raised; the desk sees it.",
        )

    def send_back(self, reason: str, then: Callable[[], None], failed: Refused) -> None:
        """Back to the asker with a reason."""
        self._act(
            lambda shop, press: send_back(shop, press, self.request_id, reason),
            lambda request: f"{request.tag} is sent back.",
            then=then,
            failed=failed,
        )

    def withdraw(
        self, why: str, not_before: datetime | None, then: Callable[[], None], failed: Refused
    ) -> None:
        """Nobody wants it any more."""
        self._act(
            lambda shop, press: withdraw_request(shop, press, self.request_id, why, not_before),
            lambda request: f"{request.tag} is withdrawn.",
            then=then,
            failed=failed,
        )

    def same_again(self) -> None:
        """Ask for the same once more, and look at it."""

        def opened(request: Request) -> None:
            self._view.open_request(request.id)

        self._standing.act(
            lambda shop, press: same_again(shop, press, self.request_id),
            lambda request: f"{request.tag} asks for the same again.",
            then=opened,
        )

    def answer(
        self, safety: tuple[int, ...] | None, same_use: bool | None, failed: Refused, then: Callable[[], None]
    ) -> None:
        """The safety answers, or "same use as released"."""
        if safety is None and same_use is None:
            failed(ShopError("Nothing is answered yet", "Tick what it will do, or press None of these."))
            return
        request_id = self.request_id

        def work(shop: Shop, press: Press) -> Done[Request]:
            if safety is None:
                return answer_same_use(shop, press, request_id, bool(same_use))
            return answer_safety(shop, press, request_id, safety)

        self._act(work, lambda request: f"{request.tag}: safety answered.", then=then, failed=failed)

    def choose_nozzle(self, bore_um: int) -> None:
        """The desk chooses a nozzle; the same press again leaves it to the plan."""
        if self.page is None:
            return
        request = self.page.request
        bore = None if request.bore_um == bore_um else bore_um
        self.change(replace(request, bore_um=bore), lambda: None, self._standing.messages.problem)

    def change(self, edited: Request, then: Callable[[], None], failed: Refused) -> None:
        """Other details."""
        self._act(
            lambda shop, press: change_details(shop, press, edited), changed_words, then=then, failed=failed
        )

    def change_quantity(
        self, quantity: int, labels: tuple[str, ...], then: Callable[[], None], failed: Refused
    ) -> None:
        """More or fewer copies, or other labels."""
        self._act(
            lambda shop, press: change_quantity(shop, press, self.request_id, quantity, labels),
            changed_words,
            then=then,
            failed=failed,
        )

    def give_model(self, path: str, unit_scale: float, failed: Refused, then: Callable[[], None]) -> None:
        """A new file is a new revision, never a replacement."""
        request_id, given = self.request_id, Path(path)

        def work(shop: Shop, press: Press) -> Done[Changed]:
            content = file_bytes(given, MOST_BYTES)
            file = ModelFile(content=content, name=given.name, unit_scale=unit_scale)
            return change_model(shop, press, request_id, file)

        self._act(work, changed_words, then=then, failed=failed, words=f"Reading {given.name}")

    def mend(self, mend: Mend) -> None:
        """Mend the model; the result is a new revision and the given file stays."""
        self._act(
            lambda shop, press: mend_model(shop, press, self.request_id, mend),
            lambda changed: mended_words(changed, mend),
            words=f"Mending the model: {mend.lower()}",
        )

    def choose_size(self, size_id: int) -> None:
        """It is made from a pattern size."""
        self._act(lambda shop, press: choose_size(shop, press, self.request_id, size_id), changed_words)

    def choose_rest(self, rest: Rest) -> None:
        """The person says how the model lies; the tool never turns it by itself."""
        request_id = self.request_id

        def work(shop: Shop, press: Press) -> Done[Changed]:
            if rest.turn is None:
                return lay_on_face(shop, press, request_id, rest.down)
            return turn_model(shop, press, request_id, rest.turn)

        self._act(work, changed_words, words="Turning the model")

    def decide(self, decisions: Mapping[int, Decision], then: Callable[[], None], failed: Refused) -> None:
        """Keep, spare or scrap."""
        self._act(
            lambda shop, press: decide_copies(shop, press, self.request_id, decisions),
            lambda copies: f"Decided on {len(copies)} cop{'y' if len(copies) == 1 else 'ies'}.",
            then=then,
            failed=failed,
        )

    def hold(self, words: str, then: Callable[[], None], failed: Refused) -> None:
        """The desk or a reviewer has a question."""
        self._act(
            lambda shop, press: hold_request(shop, press, self.request_id, HoldKind.QUESTION, words),
            "Held: question open.",
            then=then,
            failed=failed,
        )

    def close_question(self, why: str, then: Callable[[], None], failed: Refused) -> None:
        """The question is answered; it goes on."""
        holds = self.page.holds if self.page else ()
        question = next((line.hold for line in holds if line.hold.kind is HoldKind.QUESTION), None)
        if question is None:
            then()
            return
        hold_id = question.id
        self._act(
            lambda shop, press: let_go_on(shop, press, hold_id, why),
            "The question is closed; it goes on.",
            then=then,
            failed=failed,
        )

    def release(self, terms: Terms, then: Callable[[], None], failed: Refused) -> None:
        """A reviewer releases size and revision for stated conditions."""
        self._act(
            lambda shop, press: release(shop, press, self.request_id, terms),
            "Released for use on its conditions.",
            then=then,
            failed=failed,
        )

    def take_back(self, why: str, then: Callable[[], None], failed: Refused) -> None:
        """The release no longer holds."""
        release_id = self.page.release_id if self.page else None
        if release_id is None:
            then()
            return
        key = release_id
        self._act(
            lambda shop, press: take_back(shop, press, key, why),
            "The release is taken back; what it covered is held again.",
            then=then,
            failed=failed,
        )

    def copy_act(self, act: str, copy_id: int) -> None:
        """One press on one copy."""
        if act == "step":
            self._act(
                lambda shop, press: finish_step(shop, press, copy_id),
                lambda copy: "The copy is ready." if copy.ready_at else "The step is done.",
            )
        elif act == "good":
            self._act(lambda shop, press: judge_copies(shop, press, {copy_id: GOOD}), "The copy is good.")
        elif act == "hand out":
            self._act(lambda shop, press: hand_out(shop, press, copy_id), handed_words)
        elif act == "shelve":
            self._act(lambda shop, press: shelve(shop, press, copy_id), "The copy is on the shelf.")
        elif act == "trouble":
            self._standing.open_place("trouble_log", copy_id)
        elif act == "aid":
            self._standing.open_place("aids", self._aid_of(copy_id))

    def finish_all(self) -> None:
        """All finishing steps of all copies are done."""
        keys = tuple(line.copy.id for line in finishing(self.page)) if self.page else ()
        self._act(
            lambda shop, press: finish_copies(shop, press, keys),
            lambda copies: f"{len(copies)} cop{'y is' if len(copies) == 1 else 'ies are'} ready.",
        )

    def hand_out_next(self) -> None:
        """The next ready copy goes to the person."""
        lines = to_hand_out(self.page) if self.page else ()
        if lines:
            self.copy_act("hand out", lines[0].copy.id)

    def say_fit(self, copy_id: int, fit: str, then: Callable[[], None], failed: Refused) -> None:
        """What came of trying a copy."""
        self._act(
            lambda shop, press: say_fit(shop, press, copy_id, fit),
            lambda copy: f"Written down: {copy.fit_result}.",
            then=then,
            failed=failed,
        )

    def _act(
        self,
        work: Callable[[Shop, Press], Done[T]],
        said: str | Callable[[T], str],
        *,
        then: Callable[[], None] | None = None,
        failed: Refused | None = None,
        words: str = "",
    ) -> None:
        def done(_value: Any) -> None:
            self.really_at = None
            self._view.booked()
            if then is not None:
                then()
            self.load()

        self._standing.act(work, said, then=done, failed=failed, really_at=self.really_at, words=words)

    def _aid_of(self, copy_id: int) -> int | None:
        lines = self.page.copies if self.page else ()
        return next((line.copy.aid_id for line in lines if line.copy.id == copy_id), None)


def changed_words(changed: Changed) -> str:
    """What a change led to."""
    said = f"{changed.request.tag} is changed."
    if changed.trouble:
        return f"{said[:-1]}, but not planned: {changed.trouble}"
    if changed.to_decide:
        return f"{said} The desk decides on {len(changed.to_decide)} printed cop{_y(len(changed.to_decide))}."
    return said


def mended_words(changed: Changed, mend: Mend) -> str:
    """What mending a model led to."""
    whole = changed_words(changed).removeprefix(f"{changed.request.tag} is changed")
    return f"The model of {changed.request.tag} is {DONE[mend]}; the given file is kept{whole}"


def handed_words(handed: HandedOut) -> str:
    """What handing out led to."""
    mark = f', marked "{handed.mark}"' if handed.mark else ""
    return f"{handed.request.tag}/{handed.copy.ordinal} is handed out{mark}."


def _y(count: int) -> str:
    return "y" if count == 1 else "ies"
