"""One request: read and shown. No Qt."""

from typing import Any

from printcrib.core.advice import Advice
from printcrib.core.asking import NOT_PRINTED
from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.requests import Request, RequestState
from printcrib.core.shapes import Mesh
from printcrib.screens.requests.columns import columns_of, recommended
from printcrib.screens.requests.one_acts import acts_of, main_act
from printcrib.screens.requests.one_doing import OneDoing, OneView, Shown
from printcrib.screens.requests.presenter import CONCERNS
from printcrib.screens.shell.standing import Standing
from printcrib.services.accept_request import by_the_tool
from printcrib.services.advise_model import LookedOver, keep_advice, look_over
from printcrib.services.estimate_task import estimate_request
from printcrib.services.interfaces import Done
from printcrib.services.look_at_form import FormChoices, look_at_form
from printcrib.services.look_at_request import RequestPage, look_at_request
from printcrib.services.read_model import mesh_of
from printcrib.services.say_when import NozzleAnswer, when_ready

_OVER = (RequestState.DONE, RequestState.WITHDRAWN)


READING = "Estimating"
"""Said until the answer of every nozzle is there."""


def waits_for_print(page: RequestPage) -> bool:
    """Whether a copy is still to be printed, so that a nozzle can say by when."""
    if page.request.state is RequestState.ACCEPTED:
        return any(line.copy.state in NOT_PRINTED for line in page.copies)
    return page.request.state not in _OVER


class OnePresenter(OneDoing):
    """Reads one request and does what is pressed on its page."""

    def __init__(self, standing: Standing, view: OneView) -> None:
        super().__init__(standing, view)
        self.choices: FormChoices | None = None
        self.answers: tuple[NozzleAnswer, ...] | None = None
        self._mesh_of: str | None = None
        self._photo_of = ""
        self._estimated: set[tuple[int, int | None]] = set()
        self._looked_over: set[tuple[int, int | None]] = set()

    def open(self, request_id: int) -> None:
        """Show another request."""
        if request_id != self.request_id:
            self.request_id, self.page, self.answers = request_id, None, None
            self._mesh_of, self._photo_of = None, ""
            self._view.show_mesh(None, "")
            self._view.show_photo(None)
            self._view.show_answer((), READING)
        self.load()

    def load(self) -> None:
        """Read it anew."""
        request_id, who = self.request_id, self._standing.person.id
        if not request_id:
            return
        self._standing.look(look_at_form, self._on_choices)
        self._standing.look(
            lambda shop: look_at_request(shop, request_id, who), self._on_page, failed=self._on_gone
        )

    def refresh(self, things: frozenset[str]) -> None:
        """Read again when something of it changed."""
        if self.request_id and things & (CONCERNS | {"releases", "estimates", "advice", "aids"}):
            self.load()

    def _on_choices(self, choices: FormChoices) -> None:
        self.choices = choices
        self._show_answer()

    def _on_gone(self, error: ShopError) -> None:
        self._view.show_gone(str(error))

    def _on_page(self, page: RequestPage) -> None:
        if page.request.id != self.request_id:
            return
        self.page = page
        acts = acts_of(page, self._standing.person)
        desk = self._standing.person.may(Role.DESK) and page.request.state not in _OVER
        self._view.show_request(Shown(page, acts, main_act(page, acts), desk))
        self._read_mesh(page)
        self._read_photo(page.request.photo_sha)
        self._read_answer(page)
        self._read_advice(page)

    def _read_mesh(self, page: RequestPage) -> None:
        model = page.model.model if page.model else None
        wanted = f"{model.id} {model.sha256}" if model else ""
        if wanted == self._mesh_of:
            return
        self._mesh_of = wanted
        if model is None:
            self._view.show_mesh(None, "No model yet")
            return
        self._view.show_mesh(None, "Reading the model")

        def done(mesh: Mesh) -> None:
            if self._mesh_of == wanted:
                self._view.show_mesh(mesh, "")

        def failed(error: ShopError) -> None:
            if self._mesh_of == wanted:
                self._view.show_mesh(None, str(error))

        self._standing.look(lambda shop: mesh_of(shop, model), done, failed=failed)

    def _read_photo(self, sha: str) -> None:
        if sha == self._photo_of:
            return
        self._photo_of = sha
        if not sha:
            self._view.show_photo(None)
            return

        def done(content: bytes) -> None:
            if self._photo_of == sha:
                self._view.show_photo(content)

        self._standing.look(lambda shop: shop.files.get(sha), done, failed=lambda _error: None)

    def _read_answer(self, page: RequestPage) -> None:
        if page.model is None:
            self.answers = None
            self._view.show_answer((), "There is nothing to estimate before it has a model.")
            return
        key = (page.model.model.id, page.request.material_id)
        if not page.estimates and key not in self._estimated:
            self._estimated.add(key)
            self._estimate(page.request)
            return
        request_id = self.request_id

        def done(answers: tuple[NozzleAnswer, ...]) -> None:
            if request_id == self.request_id:
                self.answers = answers
                self._show_answer()

        self._standing.look(lambda shop: when_ready(shop, request_id), done, failed=self._no_answer)

    def _read_advice(self, page: RequestPage) -> None:
        """Have the model looked over once, beside everything else; what is kept already is only checked."""
        model = page.model.model if page.model else None
        if model is None or not page.estimates or (model.id, page.request.material_id) in self._looked_over:
            return
        self._looked_over.add((model.id, page.request.material_id))
        standing, material_id = self._standing, page.request.material_id

        def kept(_done: Done[Advice]) -> None:
            self.load()

        def keep(looked: LookedOver | None) -> None:
            if looked is not None:
                press = by_the_tool(standing.press())
                standing.background.change(
                    lambda shop, by: keep_advice(shop, by, looked),
                    standing.shop,
                    press,
                    done=kept,
                    failed=lambda _error: None,
                )

        standing.look(
            lambda shop: look_over(shop, model.id, material_id),
            keep,
            failed=lambda _error: None,
        )

    def _estimate(self, request: Request) -> None:
        self._view.show_answer((), READING)

        def done(_done: Done[Any]) -> None:
            if request.id == self.request_id:
                self.load()

        self._standing.background.change(
            lambda shop, press: estimate_request(shop, press, request),
            self._standing.shop,
            by_the_tool(self._standing.press()),
            done=done,
            failed=self._no_answer,
        )

    def _no_answer(self, error: ShopError) -> None:
        self._view.show_answer((), str(error))

    def _show_answer(self) -> None:
        if self.page is None or self.answers is None:
            return
        request = self.page.request
        columns = columns_of(
            self.answers,
            now=self._standing.now(),
            zone=self._standing.zone,
            printers=self.choices.printers if self.choices else {},
            chosen_um=request.bore_um,
            how_fine=request.how_fine.value,
            currency=self.choices.currency if self.choices else "",
            when=waits_for_print(self.page),
            advice=self.page.advice,
        )
        advice, told = self.page.advice, recommended(self.answers, self.page.advice)
        empty = "No printer of the shop takes it with this material."
        self._view.show_answer(columns, "" if columns else empty)
        self._view.show_advice(told.words if told else "", advice.lies if advice else "")
