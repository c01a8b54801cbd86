"""What the Pattern book shows: the list, one pattern in full, one size's model. No Qt."""

from typing import Protocol

from printcrib.core.patterns import Model
from printcrib.core.shapes import Mesh, extents_of
from printcrib.screens.shell.standing import Standing
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_patterns import (
    PatternPage,
    PatternRow,
    SizeLine,
    look_at_pattern,
    look_at_patterns,
)
from printcrib.services.read_model import mesh_of

CONCERNS = frozenset({"patterns", "sizes", "models", "aids", "releases", "materials", "inserts"})


class BookView(Protocol):
    """What the page can show."""

    def show_patterns(self, rows: tuple[PatternRow, ...], chosen: int | None) -> None:
        """The book's list, and which pattern is chosen."""
        ...

    def show_pattern(self, page: PatternPage | None, size_id: int | None) -> None:
        """One pattern in full, at one of its sizes."""
        ...

    def show_mesh(self, size_id: int, mesh: Mesh, height: str) -> None:
        """The model of the size that is shown, with its height in words."""
        ...


class BookPresenter:
    """Reads the book and shows it.

    Attributes:
        chosen: key of the pattern shown in full. size_id: of the size shown, None while there is none.
        text: what the list is narrowed to.
    """

    def __init__(self, standing: Standing, view: BookView) -> None:
        self._standing, self._view = standing, view
        self.chosen: int | None = None
        self.size_id: int | None = None
        self.text = ""
        self._pictured: tuple[int, int] | None = None

    def load(self) -> None:
        """Read the list, and the pattern shown in full."""
        text = self.text

        def came(rows: tuple[PatternRow, ...]) -> None:
            if text == self.text:
                self._on_rows(rows)

        self._standing.look(lambda shop: look_at_patterns(shop, text), came)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def search(self, text: str) -> None:
        """Narrow the list; a size that is searched for is shown."""
        self.text = text
        if text.strip():
            self.size_id = None
        self.load()

    def show(self, pattern_id: int | None) -> None:
        """Show one pattern in full."""
        if pattern_id != self.chosen:
            self.size_id = None
        self.chosen = pattern_id
        if pattern_id is None:
            self._view.show_pattern(None, None)
            return
        self._standing.look(lambda shop: look_at_pattern(shop, pattern_id), self._on_page)

    def show_size(self, line: SizeLine | None) -> None:
        """Remember which size is shown, and fetch its model for the picture."""
        self.size_id = line.size.id if line is not None else None
        if line is None or line.model is None:
            self._pictured = None
        elif self._pictured != (line.size.id, line.model.id):
            self._fetch(line.size.id, line.model)

    def request_this(self, line: SizeLine) -> None:
        """Ask for copies of a size: the form opens with it."""
        self._standing.raise_request(line.size.id)

    def _on_rows(self, rows: tuple[PatternRow, ...]) -> None:
        keys = [row.pattern.id for row in rows]
        wanted = self.chosen if self.chosen in keys else next(iter(keys), None)
        self._view.show_patterns(rows, wanted)
        self.show(wanted)

    def _on_page(self, page: PatternPage) -> None:
        if page.pattern.id == self.chosen:
            self._view.show_pattern(page, self._size_of(page))

    def _size_of(self, page: PatternPage) -> int | None:
        """The size shown already, else the one that is searched for, else the first."""
        keys = [line.size.id for line in page.sizes]
        if self.size_id in keys:
            return self.size_id
        wanted = self.text.strip().casefold()
        found = (line.size.id for line in page.sizes if wanted and wanted in line.name.casefold())
        return next(found, next(iter(keys), None))

    def _fetch(self, size_id: int, model: Model) -> None:
        def read(shop: Shop) -> Mesh:
            return mesh_of(shop, model)

        def came(mesh: Mesh) -> None:
            if self.size_id == size_id:
                self._pictured = (size_id, model.id)
                self._view.show_mesh(size_id, mesh, height_words(mesh))

        self._standing.look(read, came, failed=self._standing.messages.problem)


def height_words(mesh: Mesh) -> str:
    """How tall a model stands: "60 mm"."""
    return f"{extents_of(mesh)[2]:.0f} mm"
