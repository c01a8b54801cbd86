"""The list of requests: which are shown, what is chosen, what can be done with it at once. No Qt."""

from dataclasses import dataclass
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.people import Role
from printcrib.core.requests import Request, RequestState
from printcrib.core.shapes import Mesh
from printcrib.screens.requests.model import due
from printcrib.screens.shell.one_reading import OneReading
from printcrib.screens.shell.standing import Standing
from printcrib.services.accept_request import Accepted, accept_request
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_requests import USUAL_ROWS, Asked, Found, RequestRow, Which, look_at_requests
from printcrib.services.read_model import mesh_of
from printcrib.services.take_request import raise_kept, same_again

CONCERNS = frozenset(
    {"requests", "copies", "holds", "promises", "runs", "plans", "sizes", "models", "people", "machines"}
)
NOTHING = {
    Which.OPEN: "No open requests. Press Raise a request to ask for something.",
    Which.HELD: "Nothing is held.",
    Which.MINE: "You have not asked for anything yet. Press Raise a request.",
    Which.ALL: "Nobody has asked for anything yet. Press Raise a request.",
}


@dataclass(frozen=True)
class Quick:
    """What can be done with the chosen request without opening it.

    Attributes:
        act: "accept", "raise" or "" for nothing. words: of the button.
    """

    act: str = ""
    words: str = ""
    why_not: str = ""


class ListView(Protocol):
    """The list on the page."""

    def show_rows(self, rows: tuple[RequestRow, ...], summary: str, empty: str, more: int) -> None:
        """These requests; `more` of them are not shown yet."""
        ...

    def show_chosen(self, row: RequestRow | None, quick: Quick) -> None:
        """The chosen request beside the list."""
        ...

    def choose(self, request_id: int) -> None:
        """Choose a request in the list."""
        ...

    def open_request(self, request_id: int) -> None:
        """Open a request's own page."""
        ...

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        """The chosen request's model, or why there is none."""
        ...


class ListPresenter:
    """The list, its filter and its search."""

    def __init__(self, standing: Standing, view: ListView) -> None:
        self._standing, self._view = standing, view
        self.which, self.text, self.limit = Which.OPEN, "", USUAL_ROWS
        self.rows: tuple[RequestRow, ...] = ()
        self.chosen: RequestRow | None = None
        self._choose_next: int | None = None
        self._reading = OneReading(self.load)
        self._mesh_of: tuple[int | None, str] | None = (None, "")

    def load(self) -> None:
        """Read what is asked for; asked again meanwhile, it is read once more."""
        if not self._reading.begin():
            return
        asked = Asked(which=self.which, text=self.text, who_id=self._standing.person.id, limit=self.limit)
        self._standing.look(
            lambda shop: look_at_requests(shop, asked), self._on_found, failed=self._on_failed
        )

    def show_which(self, which: str) -> None:
        """Open, held, mine or all."""
        self.which, self.limit = Which(which), USUAL_ROWS
        self.load()

    def search(self, text: str) -> None:
        """Only requests with these words."""
        self.text, self.limit = text, USUAL_ROWS
        self.load()

    def show_more(self) -> None:
        """The next few hundred as well."""
        self.limit += USUAL_ROWS
        self.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read again when something of it changed."""
        if things & CONCERNS:
            self.load()

    def choose(self, request_id: int) -> None:
        """Choose a request as soon as it is shown."""
        self._choose_next = request_id
        self.load()

    def chose(self, row: RequestRow | None) -> None:
        """A person chose one."""
        self.chosen = row
        self._view.show_chosen(row, self.quick(row))

    def show_picture(self) -> None:
        """Read the chosen request's model, when it is another one."""
        row = self.chosen
        wanted = (row.request.size_id, row.revision) if row else None
        if wanted == self._mesh_of:
            return
        self._mesh_of = wanted
        if row is None or row.request.size_id is None or not row.revision:
            self._view.show_mesh(None, "No model yet")
            return
        size_id = row.request.size_id

        def done(mesh: Mesh | None) -> None:
            if self._mesh_of == wanted:
                self._view.show_mesh(mesh, "No model yet")

        def failed(error: ShopError) -> None:
            if self._mesh_of == wanted:
                self._view.show_mesh(None, str(error))

        self._standing.look(lambda shop: _mesh(shop, size_id), done, failed=failed)

    def quick(self, row: RequestRow | None) -> Quick:
        """What the person at this station may do with a request at once."""
        if row is None:
            return Quick()
        person, request = self._standing.person, row.request
        desk, mine = person.may(Role.DESK), request.asker_id == person.id
        if request.state is RequestState.RAISED and desk:
            return Quick() if lacks(request, row) else Quick("accept", "Accept")
        if request.state in (RequestState.DRAFT, RequestState.SENT_BACK) and (desk or mine):
            return Quick("raise", "Raise it")
        return Quick()

    def do(self, act: str) -> None:
        """Do what was offered for the chosen request."""
        if self.chosen is None:
            return
        request_id = self.chosen.id
        if act == "accept":
            self._standing.act(lambda shop, press: accept_request(shop, press, request_id), accepted_words)
        elif act == "raise":
            self._standing.act(
                lambda shop, press: raise_kept(shop, press, request_id),
                lambda request: f"{request.tag} is raised; the desk sees it.",
            )

    def same_again(self) -> None:
        """Ask for the chosen one once more."""
        if self.chosen is None:
            return
        request_id = self.chosen.id

        def then(request: Request) -> None:
            self._view.open_request(request.id)

        self._standing.act(
            lambda shop, press: same_again(shop, press, request_id),
            lambda request: f"{request.tag} asks for the same again.",
            then=then,
        )

    def _on_found(self, found: Found) -> None:
        self._reading.over()
        rows = found.rows
        if self.which in (Which.OPEN, Which.HELD):
            rows = tuple(sorted(rows, key=due))
        self.rows = rows
        empty = f'Nothing is found for "{self.text}".' if self.text.strip() else NOTHING[self.which]
        self._view.show_rows(rows, self._summary(found), empty, found.total - len(rows))
        if self._choose_next is not None:
            self._view.choose(self._choose_next)
            self._choose_next = None

    def _on_failed(self, error: Exception) -> None:
        self._reading.over()
        self._standing.messages.problem(str(error))

    def _summary(self, found: Found) -> str:
        what = {Which.OPEN: "open", Which.HELD: "held", Which.MINE: "of yours", Which.ALL: "in all"}
        said = [f"{found.total} {what[self.which]}"]
        if self.text.strip():
            said = [f'{found.total} found for "{self.text.strip()}"']
        late = sum(row.is_late and _unfinished(row) for row in found.rows)
        waiting = sum(row.request.state is RequestState.RAISED for row in found.rows)
        held = sum(bool(row.holds) for row in found.rows)
        if waiting:
            said.append(f"{waiting} to accept")
        if late:
            said.append(f"{late} late")
        if held and self.which is not Which.HELD:
            said.append(f"{held} held")
        return f"{', '.join(said)}."


def _mesh(shop: Shop, size_id: int) -> Mesh | None:
    with shop.read() as uow:
        model_id = uow.sizes.get(size_id).model_id
        model = None if model_id is None else uow.models.get(model_id)
    return None if model is None else mesh_of(shop, model)


def _unfinished(row: RequestRow) -> bool:
    return row.request.state not in (RequestState.DONE, RequestState.WITHDRAWN)


def lacks(request: Request, row: RequestRow) -> bool:
    """Whether the list alone shows that it cannot be accepted yet."""
    return bool(row.holds) or request.material_id is None or request.safety_answers is None


def accepted_words(accepted: Accepted) -> str:
    """What accepting led to, in a sentence."""
    if accepted.trouble:
        return f"{accepted.request.tag} is accepted, but not planned: {accepted.trouble}"
    return f"{accepted.request.tag} is accepted and on the run sheet."
