"""What the place reads and changes, without a window."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from tests.screens.fakes import FakeMessages
from tests.services.aid_shop import AidShop

from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert
from printcrib.core.patterns import Pattern, Size
from printcrib.core.shapes import TURNS, Mesh
from printcrib.screens.pattern_book.edits import BookEdits, Choices
from printcrib.screens.pattern_book.given_file import GivenFile, as_given, file_of
from printcrib.screens.pattern_book.presenter import BookPresenter
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import FormModel
from printcrib.services.edit_patterns import add_revision, change_pattern, change_size
from printcrib.services.look_at_one_offs import OutsideLine
from printcrib.services.look_at_patterns import PatternPage, PatternRow, look_at_pattern
from printcrib.services.read_model import ModelFile


@dataclass
class BookShown:
    """Remembers what the page was to show."""

    rows: list[str] = field(default_factory=list)
    chosen: int | None = None
    page: PatternPage | None = None
    size_id: int | None = None
    pictures: list[tuple[int, str]] = field(default_factory=list)

    def show_patterns(self, rows: tuple[PatternRow, ...], chosen: int | None) -> None:
        self.rows, self.chosen = [row.name for row in rows], chosen

    def show_pattern(self, page: PatternPage | None, size_id: int | None) -> None:
        self.page, self.size_id = page, size_id

    def show_mesh(self, size_id: int, mesh: Mesh, height: str) -> None:
        self.pictures.append((size_id, height))


@dataclass
class Asked:
    """Remembers what was asked, found and refused."""

    form: tuple[Pattern | Size, Mapping[str, Any]] | None = None
    choices: Choices | None = None
    outside: tuple[OutsideLine, ...] = ()
    found: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    fresh: Pattern | Size | None = None
    turns: list[tuple[int, str, str]] = field(default_factory=list)
    kept: list[tuple[int, int | None]] = field(default_factory=list)

    def ask_pattern(self, pattern: Pattern, begun: Mapping[str, Any], choices: Choices) -> None:
        self.form, self.choices = (pattern, begun), choices

    def ask_size(self, size: Size, begun: Mapping[str, Any], outside: tuple[OutsideLine, ...]) -> None:
        self.form, self.outside = (size, begun), outside

    def show_file(self, given: GivenFile, read: FormModel) -> None:
        self.found.append(f"{given.name} {read.extents}")

    def refuse_file(self, given: GivenFile, error: ShopError) -> None:
        self.refused.append(str(error))

    def show_turn(self, turn: int, mesh: Mesh, height: str, words: str) -> None:
        self.turns.append((turn, height, words))

    def show_refusal(self, error: ShopError) -> None:
        self.refused.append(str(error))

    def show_changed(self, fresh: Pattern | Size, sentence: str) -> None:
        self.fresh = fresh
        self.refused.append(sentence)

    def show_kept(self, pattern_id: int, size_id: int | None) -> None:
        self.kept.append((pattern_id, size_id))


@pytest.fixture
def shown() -> BookShown:
    return BookShown()


@pytest.fixture
def book(here: Standing, shown: BookShown) -> BookPresenter:
    return BookPresenter(here, shown)


@pytest.fixture
def told() -> Asked:
    return Asked()


@pytest.fixture
def edits(here: Standing, told: Asked) -> BookEdits:
    return BookEdits(here, told)


class TestReading:
    def test_the_first_pattern_is_shown_at_its_first_size(
        self, book: BookPresenter, shown: BookShown, desk: AidShop
    ) -> None:
        desk.own.pattern("caliper rest")
        book.load()
        assert (shown.rows, shown.chosen) == (["caliper rest", "spindle stop"], book.chosen)
        assert shown.page is not None
        assert (shown.page.row.name, shown.size_id) == ("caliper rest", None)
        book.show(desk.pattern.id)
        assert shown.size_id == desk.size.id

    def test_a_size_that_is_searched_for_is_the_one_shown(
        self, book: BookPresenter, shown: BookShown, desk: AidShop
    ) -> None:
        wide = desk.own.size(desk.pattern, "45 x 80")
        book.search("45 X")
        assert (shown.rows, shown.size_id) == ([desk.pattern.name], wide.id)
        book.search("no such thing")
        assert (shown.rows, shown.page, book.chosen) == ([], None, None)

    def test_the_size_shown_stays_and_its_picture_is_read_once(
        self, book: BookPresenter, shown: BookShown, desk: AidShop
    ) -> None:
        wide = desk.own.size(desk.pattern, "45 x 80")
        book.show(desk.pattern.id)
        assert shown.page is not None
        line = next(each for each in shown.page.sizes if each.size.id == wide.id)
        book.show_size(line)
        book.load()
        book.show_size(line)
        assert shown.size_id == wide.id
        assert shown.pictures == [(wide.id, "20 mm")]
        add_revision(desk.shop, desk.own.press(), wide.id, ModelFile(content=b"box 40 30 35", name="b.stl"))
        book.load()
        line = next(each for each in shown.page.sizes if each.size.id == wide.id)
        book.show_size(line)
        assert shown.pictures[-1] == (wide.id, "35 mm")
        book.show_size(None)
        assert book.size_id is None

    def test_request_this_hands_the_size_over(
        self, book: BookPresenter, shown: BookShown, asked: list[int | None], desk: AidShop
    ) -> None:
        book.load()
        assert shown.page is not None
        book.request_this(shown.page.sizes[0])
        assert asked == [desk.size.id]

    def test_it_concerns_what_the_book_shows(self, book: BookPresenter) -> None:
        assert book.concerns(frozenset({"releases"}))
        assert not book.concerns(frozenset({"spools"}))


class TestEditing:
    def test_a_pattern_may_be_made_of_what_the_shop_has(
        self, edits: BookEdits, told: Asked, desk: AidShop
    ) -> None:
        with desk.shop.write(desk.own.press(), "insert") as uow:
            uow.inserts.add(Insert(name="magnet 6 x 3"))
            uow.commit()
        edits.ask_pattern()
        assert told.choices is not None
        assert [each.name for each in told.choices.materials] == ["PA + 30 % glass", "PETG", "PLA"]
        assert [each.name for each in told.choices.inserts] == ["magnet 6 x 3"]

    def test_a_stale_edit_says_who_was_first_and_what_they_changed(
        self, edits: BookEdits, told: Asked, desk: AidShop, messages: FakeMessages
    ) -> None:
        before = desk.pattern
        theirs = replace(before, expected_life=900)
        change_pattern(desk.shop, desk.own.press("Lea"), theirs)
        edits.keep_pattern(before, replace(before, colour="grey"))
        (sentence,) = told.refused
        assert sentence.startswith("Lea changed ")
        assert sentence.endswith("then press again. Changed: the expected life.")
        assert isinstance(told.fresh, Pattern)
        edits.keep_pattern(told.fresh, replace(told.fresh, colour="grey"))
        kept = look_at_pattern(desk.shop, before.id).pattern
        assert (kept.expected_life, kept.colour) == (900, "grey")
        assert messages.said == [f"{before.tag} {before.name} is kept."]

    def test_a_stale_size_is_told_too(self, edits: BookEdits, told: Asked, desk: AidShop) -> None:
        change_size(desk.shop, desk.own.press("Lea"), replace(desk.size, shelf_place="drawer 4"))
        edits.keep_size(desk.size, replace(desk.size, minimum_spares=2))
        assert told.refused[0].endswith("Changed: the place on the shelf.")
        assert isinstance(told.fresh, Size)
        assert told.fresh.shelf_place == "drawer 4"

    def test_what_was_typed_and_not_kept_comes_back_until_it_is_kept(
        self, edits: BookEdits, told: Asked, desk: AidShop
    ) -> None:
        new = Pattern(number=0, name="")
        edits.keep_draft(new, replace(new, name="hose clip", colour="grey"))
        edits.ask_pattern()
        assert told.form == (new, {"name": "hose clip", "colour": "grey"})
        edits.keep_pattern(new, replace(new, name="hose clip", colour="grey"))
        edits.ask_pattern()
        assert told.form == (new, {})
        size = Size(pattern_id=desk.pattern.id, name="")
        given = GivenFile(Path("box.stl"), 25.4, "drawn here", "ours")
        edits.keep_draft(size, size, given)
        edits.ask_size(size)
        assert told.form is not None
        assert file_of(told.form[1]) == given
        edits.keep_draft(size, size)
        assert edits.drafts == {}
        assert file_of({}) is None

    def test_a_file_is_looked_into_before_it_is_kept(
        self, edits: BookEdits, told: Asked, tmp_path: Path
    ) -> None:
        good, bad, gone = (tmp_path / name for name in ("good.stl", "bad.stl", "gone.stl"))
        good.write_bytes(b"box 20 20 90")
        bad.write_bytes(b"nothing")
        for path in (good, bad, gone):
            edits.read(GivenFile(path))
        assert told.found == ["good.stl 20 x 20 x 90 mm"]
        assert told.refused == [
            "bad.stl cannot be read as a model. Export it again from the model.",
            "gone.stl cannot be read. Choose it again.",
        ]

    def test_a_file_far_too_large_is_not_read_at_all(self, tmp_path: Path) -> None:
        huge = tmp_path / "huge.stl"
        with huge.open("wb") as out:
            out.truncate(500_000_001)
        with pytest.raises(ShopError, match=r"huge.stl is larger than 500 MB\. Export a simpler model\."):
            as_given(GivenFile(huge))

    def test_a_one_off_is_taken_into_the_book_with_all_that_hangs_on_it(
        self, edits: BookEdits, told: Asked, desk: AidShop, messages: FakeMessages
    ) -> None:
        request = desk.own.ask(words="clip for a lamp")
        new = Size(pattern_id=desk.pattern.id, name="")
        edits.ask_size(new)
        (line,) = told.outside
        assert line.name == "clip for a lamp"
        taken = replace(line.size, pattern_id=desk.pattern.id, name="25", minimum_spares=1)
        edits.keep_size(new, taken)
        assert told.kept == [(desk.pattern.id, request.size_id)]
        assert messages.said == ["Size 25 is kept."]
        page = look_at_pattern(desk.shop, desk.pattern.id)
        assert [(each.name, each.revision) for each in page.sizes] == [("25", "A"), ("32 x 60", "A")]
        edits.keep_size(new, replace(taken, name="26"))
        assert told.refused == ["It is in the book already, as size 25. Choose another one."]

    def test_a_turn_is_shown_before_it_is_kept(self, edits: BookEdits, told: Asked, desk: AidShop) -> None:
        line = look_at_pattern(desk.shop, desk.pattern.id).sizes[0]
        front = tuple(TURNS).index("-y/0")
        edits.look_at_turn(line, front)
        assert told.turns == [(front, "30 mm", "Stands 40 x 20 x 30 mm.")]
        edits.look_at_turn(replace(line, model=None), front)
        assert len(told.turns) == 1
        edits.turn(line, front)
        assert look_at_pattern(desk.shop, desk.pattern.id).sizes[0].revision == "B"

    def test_a_turn_no_printer_takes_is_said(self, edits: BookEdits, told: Asked, desk: AidShop) -> None:
        tall = desk.own.size(desk.pattern, "tall", ModelFile(content=b"box 20 20 390", name="t.stl", turn=0))
        line = next(
            each for each in look_at_pattern(desk.shop, desk.pattern.id).sizes if each.size.id == tall.id
        )
        edits.look_at_turn(line, 0)
        assert told.turns[0][2] == "Stands 20 x 20 x 390 mm, too large so for every printer."

    def test_only_the_desk_changes_the_book(self, edits: BookEdits, told: Asked, here: Standing) -> None:
        with here.shop.read() as uow:
            here.person = next(each for each in uow.people.find() if each.name == "Max")
        new = Pattern(number=0, name="hose clip")
        edits.keep_pattern(new, new)
        assert told.refused[0].startswith("Only the desk may edit the pattern book")
        assert told.kept == []
