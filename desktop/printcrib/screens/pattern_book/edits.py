"""What is changed in the book: patterns, sizes, revisions, turns, one-offs taken in. No Qt."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Insert, Material
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.running import standing_mm
from printcrib.core.shapes import Mesh, size_words
from printcrib.screens.pattern_book.drafts import Changes, changes_between
from printcrib.screens.pattern_book.given_file import FILE, GivenFile, as_given, as_text
from printcrib.screens.pattern_book.presenter import height_words
from printcrib.screens.pattern_book.words import changed_words
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import FormModel, read_form_file
from printcrib.services.edit_patterns import (
    add_pattern,
    add_revision,
    add_size,
    change_pattern,
    change_size,
    turn_size,
)
from printcrib.services.interfaces import Done, Shop, is_
from printcrib.services.look_at_one_offs import OutsideLine, look_at_outside
from printcrib.services.look_at_patterns import SizeLine
from printcrib.services.press import Press
from printcrib.services.read_model import mesh_of, stands


@dataclass(frozen=True)
class Choices:
    """What a pattern may be made of."""

    materials: tuple[Material, ...]
    inserts: tuple[Insert, ...]


class EditView(Protocol):
    """What the page can ask."""

    def ask_pattern(self, pattern: Pattern, begun: Mapping[str, Any], choices: Choices) -> None:
        """A pattern to fill in (key 0 for a new one), with what was typed before and not kept."""
        ...

    def ask_size(self, size: Size, begun: Mapping[str, Any], outside: tuple[OutsideLine, ...]) -> None:
        """A size to fill in (key 0 for a new one), and what may be taken into the book instead."""
        ...

    def show_file(self, given: GivenFile, read: FormModel) -> None:
        """What was found in a file that was chosen."""
        ...

    def refuse_file(self, given: GivenFile, error: ShopError) -> None:
        """Why a file cannot be read; the rest of the form stays."""
        ...

    def show_turn(self, turn: int, mesh: Mesh, height: str, words: str) -> None:
        """A model in another turn: how tall it stands, and in words how large and whether it fits."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def show_changed(self, fresh: Pattern | Size, sentence: str) -> None:
        """Somebody else was first: what was typed stands over the new values now."""
        ...

    def show_kept(self, pattern_id: int, size_id: int | None) -> None:
        """Show what was kept."""
        ...


class BookEdits:
    """Stands between the questions of the Pattern book and the use cases.

    Attributes:
        drafts: what was typed and not kept, by `draft_key`.
    """

    def __init__(self, standing: Standing, view: EditView) -> None:
        self._standing, self._view = standing, view
        self.drafts: dict[str, Changes] = {}

    def ask_pattern(self, pattern: Pattern | None = None) -> None:
        """Begin a new pattern, or to change one; what was typed before comes back."""
        told = pattern or Pattern(number=0, name="")
        begun = self.drafts.get(draft_key(told), {})
        self._standing.look(_choices, lambda found: self._view.ask_pattern(told, begun, found))

    def ask_size(self, size: Size) -> None:
        """Begin a new size of a pattern, or to change one; what was typed before comes back."""
        begun = self.drafts.get(draft_key(size), {})
        if size.id:
            self._view.ask_size(size, begun, ())
            return
        self._standing.look(
            lambda shop: look_at_outside(shop, size.pattern_id),
            lambda outside: self._view.ask_size(size, begun, outside),
        )

    def keep_draft(
        self, before: Pattern | Size, after: Pattern | Size, file: GivenFile | None = None
    ) -> None:
        """Keep what was typed for later; nothing where nothing was."""
        changes = changes_between(before, after)
        if file is not None:
            changes[FILE] = as_text(file)
        if changes:
            self.drafts[draft_key(before)] = changes
        else:
            self.drafts.pop(draft_key(before), None)

    def keep_pattern(self, before: Pattern, after: Pattern) -> None:
        """Add a new pattern, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Pattern]:
            return change_pattern(shop, press, after) if after.id else add_pattern(shop, press, after)

        def kept(pattern: Pattern) -> None:
            self._over(before)
            self._view.show_kept(pattern.id, None)

        self._standing.act(
            work,
            lambda pattern: f"{pattern.tag} {pattern.name} is kept.",
            then=kept,
            failed=lambda error: self._on_refused(error, before),
        )

    def keep_size(self, before: Size, after: Size, file: GivenFile | None = None) -> None:
        """Add a size with its model, keep the changes to one, or take a one-off into the book."""

        def work(shop: Shop, press: Press) -> Done[Size]:
            if after.id:
                return change_size(shop, press, after if before.id else _taken_in(shop, after))
            return add_size(shop, press, after, None if file is None else as_given(file))

        def kept(size: Size) -> None:
            self._over(before)
            self._view.show_kept(size.pattern_id, size.id)

        self._standing.act(
            work,
            lambda size: f"Size {size.name} is kept.",
            then=kept,
            failed=lambda error: self._on_refused(error, before),
            words=f"Reading {file.name}" if file is not None else "",
        )

    def read(self, given: GivenFile) -> None:
        """Look into a file that was chosen, before it is kept."""
        self._standing.look(
            lambda shop: read_form_file(shop, as_given(given)),
            lambda found: self._view.show_file(given, found),
            failed=lambda error: self._view.refuse_file(given, error),
            words=f"Reading {given.name}",
        )

    def give_revision(self, line: SizeLine, file: GivenFile) -> None:
        """A new file is the size's next revision; the one before stays in the books."""
        self._standing.act(
            lambda shop, press: add_revision(shop, press, line.size.id, as_given(file)),
            lambda model: f"Size {line.name} is at revision {model.revision} now; no release covers it yet.",
            then=lambda _: self._view.show_kept(line.size.pattern_id, line.size.id),
            failed=self._view.show_refusal,
            words=f"Reading {file.name}",
        )

    def look_at_turn(self, line: SizeLine, turn: int) -> None:
        """Show a size's model in another turn before it is kept."""
        model = line.model
        if model is None:
            return

        def read(shop: Shop) -> tuple[Mesh, str]:
            return mesh_of(shop, replace(model, turn=turn)), _turn_words(shop, model, turn)

        self._standing.look(
            read,
            lambda found: self._view.show_turn(turn, found[0], height_words(found[0]), found[1]),
            failed=self._view.show_refusal,
        )

    def turn(self, line: SizeLine, turn: int) -> None:
        """Print a size in another right-angled turn: a revision of its own."""

        def work(shop: Shop, press: Press) -> Done[Model]:
            return turn_size(shop, press, line.size.id, turn)

        self._standing.act(
            work,
            lambda model: f"Size {line.name} is printed turned, as revision {model.revision}.",
            then=lambda _: self._view.show_kept(line.size.pattern_id, line.size.id),
            failed=self._view.show_refusal,
        )

    def take_out(self, line: SizeLine) -> None:
        """A size is no longer in the book; what was printed of it stays."""
        self._standing.act(
            lambda shop, press: change_size(shop, press, replace(line.size, active=False)),
            f"Size {line.name} is out of the book.",
            then=lambda _: self._view.show_kept(line.size.pattern_id, None),
            failed=self._view.show_refusal,
        )

    def _over(self, before: Pattern | Size) -> None:
        self.drafts.pop(draft_key(before), None)

    def _on_refused(self, error: ShopError, before: Pattern | Size) -> None:
        """A stale edit reads what the other person kept and lays what was typed over it."""
        if not isinstance(error, StaleEdit):
            self._view.show_refusal(error)
            return

        def came(fresh: Pattern | Size) -> None:
            told = changed_words(changes_between(before, fresh))
            self._view.show_changed(fresh, f"{error} {told}".strip())

        self._standing.look(lambda shop: _again(shop, before), came)


def draft_key(record: Pattern | Size) -> str:
    """Under which name a half-filled form is kept: one for each record, one for each place of a new one."""
    if isinstance(record, Pattern):
        return f"pattern {record.id}"
    return f"size {record.id}" if record.id else f"new size of {record.pattern_id}"


def _again(shop: Shop, record: Pattern | Size) -> Pattern | Size:
    with shop.read() as uow:
        table = uow.patterns if isinstance(record, Pattern) else uow.sizes
        return table.get(record.id)


def _taken_in(shop: Shop, size: Size) -> Size:
    """A one-off as it goes into the book, over whatever became of it meanwhile.

    Raises:
        ShopError: somebody else has put it into the book already.
    """
    with shop.read() as uow:
        fresh = uow.sizes.get(size.id)
        if fresh.active and uow.patterns.get(fresh.pattern_id).listed:
            raise ShopError(f"It is in the book already, as size {fresh.name}", "Choose another one.")
    return replace(size, version=fresh.version)


def _choices(shop: Shop) -> Choices:
    with shop.read() as uow:
        return Choices(
            uow.materials.find(is_("active", True), order_by="name"),
            uow.inserts.find(is_("active", True), order_by="name"),
        )


def _turn_words(shop: Shop, model: Model, turn: int) -> str:
    standing = standing_mm(model.extents_mm, turn)
    with shop.read() as uow:
        printers = uow.printers.find(is_("active", True))
    fits = any(stands(standing, printer) for printer in printers)
    return f"Stands {size_words(standing)}{'' if fits else ', too large so for every printer'}."
