"""What the Pattern book does: find patterns, show one, add and change patterns, sizes and revisions."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.shapes import Mesh, extents_of
from printcrib.screens.shell.standing import Standing
from printcrib.services.edit_patterns import (
    add_pattern,
    add_revision,
    add_size,
    change_pattern,
    change_size,
    turn_size,
)
from printcrib.services.interfaces import Done, Shop, is_
from printcrib.services.look_at_patterns import (
    PatternPage,
    PatternRow,
    SizeLine,
    look_at_pattern,
    look_at_patterns,
)
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile, mesh_of

CONCERNS = frozenset({"patterns", "sizes", "models", "aids", "releases", "materials"})


@dataclass(frozen=True)
class GivenFile:
    """A model file somebody chose: its path, the unit's factor, where it came from and its licence."""

    path: Path
    unit_scale: float = 1.0
    source: str = ""
    licence: str = ""


class BookView(Protocol):
    """What the page can show."""

    def show_patterns(self, rows: tuple[PatternRow, ...]) -> None:
        """The book's list."""
        ...

    def show_pattern(self, page: PatternPage | None) -> None:
        """One pattern in full."""
        ...

    def show_mesh(self, size_id: int, mesh: Mesh, height: str) -> None:
        """The model of the size that is shown, with its height in words."""
        ...

    def ask_pattern(self, pattern: Pattern | None, materials: tuple[Material, ...]) -> None:
        """A pattern to fill in: a new one, or one to change."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def close_question(self) -> None:
        """The question is answered."""
        ...


class BookPresenter:
    """Stands between the Pattern book and the use cases.

    Attributes:
        chosen: key of the pattern shown in full. text: what the list is narrowed to.
    """

    def __init__(self, standing: Standing, view: BookView) -> None:
        self._standing, self._view = standing, view
        self.chosen: int | None = None
        self.text = ""

    def load(self) -> None:
        """Read the list, and the pattern shown in full."""
        text = self.text
        self._standing.look(lambda shop: look_at_patterns(shop, text), self._view.show_patterns)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def search(self, text: str) -> None:
        """Narrow the list."""
        self.text = text
        self.load()

    def show(self, pattern_id: int | None) -> None:
        """Show one pattern in full."""
        self.chosen = pattern_id
        if pattern_id is None:
            self._view.show_pattern(None)
            return
        self._standing.look(lambda shop: look_at_pattern(shop, pattern_id), self._on_page)

    def show_model(self, line: SizeLine) -> None:
        """Fetch the model of a size for its picture."""
        model = line.model
        if model is None:
            return

        def read(shop: Shop) -> Mesh:
            return mesh_of(shop, model)

        self._standing.look(
            read,
            lambda mesh: self._view.show_mesh(line.size.id, mesh, f"{extents_of(mesh)[2]:.0f} mm"),
            failed=self._standing.messages.problem,
        )

    def request_this(self, line: SizeLine) -> None:
        """Ask for copies of a size: the form opens with it."""
        self._standing.raise_request(line.size.id)

    def ask_new(self) -> None:
        """Begin a new pattern."""
        self._standing.look(_materials, lambda found: self._view.ask_pattern(None, found))

    def ask_change(self, pattern: Pattern) -> None:
        """Begin to change a pattern."""
        self._standing.look(_materials, lambda found: self._view.ask_pattern(pattern, found))

    def keep_pattern(self, pattern: Pattern) -> None:
        """Add a new pattern, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Pattern]:
            return change_pattern(shop, press, pattern) if pattern.id else add_pattern(shop, press, pattern)

        self._standing.act(
            work,
            lambda kept: f"{kept.tag} {kept.name} is kept.",
            then=self._on_kept,
            failed=self._view.show_refusal,
        )

    def keep_size(self, size: Size, file: GivenFile | None) -> None:
        """Add a size with its model, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Size]:
            if size.id:
                return change_size(shop, press, size)
            return add_size(shop, press, size, None if file is None else _read(file))

        self._standing.act(
            work,
            lambda kept: f"Size {kept.name} is kept.",
            then=lambda _: self._on_size(),
            failed=self._view.show_refusal,
            words="Reading the model" if file is not None else "",
        )

    def give_revision(self, line: SizeLine, file: GivenFile) -> None:
        """A new file is the size's next revision; the one before stays in the books."""
        self._standing.act(
            lambda shop, press: add_revision(shop, press, line.size.id, _read(file)),
            lambda model: f"Size {line.size.name} is at revision {model.revision} now, without a release.",
            then=lambda _: self._on_size(),
            failed=self._view.show_refusal,
            words="Reading the model",
        )

    def turn(self, line: SizeLine, turn: int) -> None:
        """Print a size in another right-angled turn: a revision of its own."""

        def work(shop: Shop, press: Press) -> Done[Model]:
            return turn_size(shop, press, line.size.id, turn)

        self._standing.act(
            work,
            lambda model: f"Size {line.size.name} is printed turned, as revision {model.revision}.",
            then=lambda _: self._on_size(),
            failed=self._view.show_refusal,
        )

    def take_out(self, line: SizeLine) -> None:
        """A size is no longer in the book; what was printed of it stays."""
        self._standing.act(
            lambda shop, press: change_size(shop, press, replace(line.size, active=False)),
            f"Size {line.size.name} is out of the book.",
            then=lambda _: self._on_size(),
            failed=self._view.show_refusal,
        )

    def _on_page(self, page: PatternPage) -> None:
        if page.pattern.id == self.chosen:
            self._view.show_pattern(page)

    def _on_kept(self, pattern: Pattern) -> None:
        self.chosen = pattern.id
        self._view.close_question()
        self.load()

    def _on_size(self) -> None:
        self._view.close_question()
        self.load()


def _materials(shop: Shop) -> tuple[Material, ...]:
    with shop.read() as uow:
        return uow.materials.find(is_("active", True), order_by="name")


def _read(file: GivenFile) -> ModelFile:
    """The file's bytes as given.

    Raises:
        ShopError: it cannot be read.
    """
    try:
        content = file.path.read_bytes()
    except OSError as error:
        raise ShopError(f"{file.path.name} cannot be read", "Choose it again.") from error
    return ModelFile(
        content=content,
        name=file.path.name,
        unit_scale=file.unit_scale,
        source=file.source,
        licence=file.licence,
    )
