"""The place as it stands: what it shows, in both widths and looks, and what it keeps over a restart."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import press, typing
from tests.screens.pattern_book.hands_on import asking, drop, patterns, sizes
from tests.services.aid_shop import AidShop

from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.given_file import GivenFile
from printcrib.screens.pattern_book.model_panels import RevisionPanel, TurnPanel
from printcrib.screens.pattern_book.pattern_panel import LAPSE, PatternPanel
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.pattern_book.size_acts import SizeActs
from printcrib.screens.pattern_book.size_panel import SizePanel
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shell.theme import Theme
from printcrib.services.edit_patterns import add_revision, change_pattern, change_size
from printcrib.services.read_model import ModelFile
from printcrib.services.release_use import Terms, release

LONG = "an-aid-with-a-name-that-does-not-end-where-it-should_" * 3


def told_by(page: PatternBookPage) -> str:
    """All the card says."""
    QApplication.processEvents()
    return "\n".join(words.text() for words in page.card.findChildren(Words) if words.isVisible())


def cut_sideways(page: PatternBookPage) -> list[str]:
    """Columns of facts that are wider than their room; they scroll up and down only."""
    found = []
    for pane in (page.card.facts, page.card.safety):
        column = pane.reading.widget()
        if pane.isVisible() and column is not None and column.width() > pane.reading.viewport().width():
            found.append(pane.accessibleName())
    return found


def resized(page: PatternBookPage, width: int, height: int) -> None:
    """Another window."""
    page.resize(width, height)
    QApplication.processEvents()


@pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
def test_it_reads_well_in_both_widths_and_looks(
    page: PatternBookPage, desk: AidShop, each_theme: Theme, size: tuple[int, int]
) -> None:
    desk.own.size(desk.pattern, "45 x 80")
    change_size(desk.shop, desk.own.press(), replace(desk.size, minimum_spares=2, shelf_place="drawer 4"))
    page.refresh(frozenset({"sizes"}))
    resized(page, *size)
    assert page.card.name.text() == desk.pattern.name
    assert page.subtitle.text() == "1 pattern. 2 spares short of the minimum."
    assert "0 of at least 2, drawer 4" in told_by(page)
    assert faults_of(page) == []


@pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
def test_very_long_names_and_many_sizes_fit(
    page: PatternBookPage, desk: AidShop, qtbot: QtBot, size: tuple[int, int]
) -> None:
    desk.edit_pattern(name=LONG, kind=LONG, colour=LONG, finishing_steps=(LONG,), notes=LONG)
    desk.edit_pattern(safety_answers=tuple(range(1, 11)), take_out_before_start=True)
    file = ModelFile(content=b"box 40 30 20", name=f"{LONG}.stl", source=f"https://where/{LONG}")
    for number in range(7):
        desk.own.size(desk.pattern, f"{number} {LONG}", file)
    resized(page, *size)
    page.arrived()
    assert page.card.sizes.field.isVisible()
    qtbot.waitUntil(lambda: faults_of(page) == [])
    assert cut_sideways(page) == []
    assert page.card.geometry().right() <= page.width()


def test_an_empty_book_says_how_to_begin(qtbot: QtBot, here: Standing, theme: Theme, desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "empty for a test") as uow:
        uow.patterns.save(replace(uow.patterns.get(desk.pattern.id), listed=False))
        uow.commit()
    page = PatternBookPage(here)
    qtbot.addWidget(page)
    resized(page, 1108, 652)
    page.show()
    page.arrived()
    assert 'Press "A new pattern" to begin it.' in page.table._empty.text()
    assert page.main_button is not None
    assert not page.main_button.isEnabled()
    assert faults_of(page) == []


def test_searching_finds_sizes_and_says_when_nothing_is_found(page: PatternBookPage, desk: AidShop) -> None:
    wide = desk.own.size(desk.pattern, "45 x 80")
    desk.own.pattern("caliper rest")
    page.arrived()
    typing(page.search, "45 x")
    assert page.table.model.rowCount() == 1
    assert page.card.line is not None
    assert page.card.line.size.id == wide.id
    page.search.setText("no such thing")
    assert page.table.model.rowCount() == 0
    assert page.subtitle.text() == "Nothing found."
    assert page.main_button is not None
    assert not page.main_button.isEnabled()
    page.go_to(desk.pattern.id)
    assert page.search.text() == ""
    assert page.card.name.text() == desk.pattern.name


def test_a_pattern_without_a_size_says_what_to_do(page: PatternBookPage, desk: AidShop) -> None:
    page.go_to(desk.own.pattern("caliper rest").id)
    assert page.main_button is not None
    assert not page.main_button.isEnabled()
    assert not page.card.acts["model"].isEnabled()
    assert page.card.acts["size"].isEnabled()
    page.edits.ask_size(replace(desk.size, id=0, name=""))
    assert not asking(page, SizePanel).way.isVisible(), "there is nothing outside the book to take in"


def test_the_releases_and_the_safety_of_a_size_are_told(page: PatternBookPage, desk: AidShop) -> None:
    desk.edit_pattern(safety_answers=(2, 6))
    page.arrived()
    assert "none for revision A" in told_by(page)
    assert "Printed, but not handed out before a reviewer has released it." in told_by(page)
    assert "Local codes and licensed practice come first." in told_by(page)
    asked = desk.own.ask(file=None, size_id=desk.size.id, safety_answers=(), material_id=desk.own.material())
    release(desk.shop, desk.own.press("Rita"), asked.id, Terms())
    page.refresh(frozenset({"releases"}))
    assert "released by Rita" in told_by(page)
    file = ModelFile(content=b"box 40 30 35", name="taller.stl")
    add_revision(desk.shop, desk.own.press(), desk.size.id, file)
    page.refresh(frozenset({"models"}))
    assert "none for revision B" in told_by(page)
    assert "revision A, released by Rita" in told_by(page)


def test_a_change_elsewhere_leaves_the_size_that_is_shown(page: PatternBookPage, desk: AidShop) -> None:
    wide = desk.own.size(desk.pattern, "45 x 80")
    page.refresh(frozenset({"sizes"}))
    press(page.card.sizes.row.buttons[str(wide.id)])
    change_pattern(desk.shop, desk.own.press("Lea"), replace(patterns(desk)[desk.pattern.name], colour="red"))
    page.refresh(frozenset({"patterns"}))
    assert page.card.line is not None
    assert page.card.line.size.id == wide.id
    page.hide()
    page.refresh(frozenset({"patterns"}))
    page.refresh(frozenset({"spools"}))


class TestQuestions:
    @pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
    def test_each_reads_well(
        self, page: PatternBookPage, desk: AidShop, size: tuple[int, int], tmp_path: Path
    ) -> None:
        with desk.shop.write(desk.own.press(), "insert") as uow:
            magnet = uow.inserts.add(Insert(name="magnet 6 x 3"))
            uow.inserts.add(Insert(name="bushing 8"))
            uow.commit()
        desk.edit_pattern(inserts=((magnet.id, 2),), safety_answers=(1, 4))
        desk.own.ask(words="clip for a lamp")
        box = tmp_path / "box.stl"
        box.write_bytes(b"box 20 20 90")
        page.arrived()
        resized(page, *size)
        line = page.card.line
        assert line is not None
        for ask in (
            page._ask_change,
            page.edits.ask_pattern,
            page._ask_size,
            page._ask_about_size,
            lambda: page._ask_revision(line),
            lambda: page._ask_turn(line),
        ):
            ask()
            QApplication.processEvents()
            panel = page.standing_over
            assert panel is not None
            if isinstance(panel, SizePanel | RevisionPanel):
                panel.file.take(str(box))
                QApplication.processEvents()
            assert faults_of(panel) == [], type(panel).__name__
            page.close_question()

    def test_the_safety_answers_say_what_they_lead_to(self, page: PatternBookPage, desk: AidShop) -> None:
        press(page.card.acts["pattern"])
        panel = asking(page, PatternPanel)
        assert not panel.safety.answered, "nothing is answered for anybody"
        assert "every request answers for itself" in panel.end_words.text()
        panel.safety.buttons["4"].click()
        assert panel.end_words.text() == "Never handed out for this: lift a load or a person."
        assert panel.end_further.text().startswith(LAPSE)

    def test_a_stale_edit_keeps_what_was_typed_and_takes_the_rest(
        self, page: PatternBookPage, desk: AidShop
    ) -> None:
        press(page.card.acts["pattern"])
        panel = asking(page, PatternPanel)
        typing(panel.kind, "holds and sets")
        theirs = replace(patterns(desk)[desk.pattern.name], expected_life=900)
        change_pattern(desk.shop, desk.own.press("Lea"), theirs)
        press(panel.confirm_button)
        assert page.standing_over is panel
        assert "Lea changed" in panel._error.text()
        assert "Changed: the expected life." in panel._error.text()
        assert (panel.kind.text(), panel.life.value) == ("holds and sets", 900)
        press(panel.confirm_button)
        kept = patterns(desk)[desk.pattern.name]
        assert (kept.kind, kept.expected_life) == ("holds and sets", 900)
        assert page.standing_over is None

    def test_a_stale_size_keeps_what_was_typed(self, page: PatternBookPage, desk: AidShop) -> None:
        page.edits.ask_size(desk.size)
        panel = asking(page, SizePanel)
        assert not panel.file.isVisible()
        typing(panel.place, "drawer 9")
        change_size(desk.shop, desk.own.press("Lea"), replace(desk.size, minimum_spares=3))
        press(panel.confirm_button)
        assert (panel.place.text(), panel.spares.value) == ("drawer 9", 3)
        press(panel.confirm_button)
        assert (sizes(desk)["32 x 60"].shelf_place, sizes(desk)["32 x 60"].minimum_spares) == ("drawer 9", 3)

    def test_a_refused_file_is_one_sentence_and_the_form_stays(
        self, page: PatternBookPage, desk: AidShop, tmp_path: Path
    ) -> None:
        good, bad = tmp_path / "good.stl", tmp_path / "bad.stl"
        good.write_bytes(b"box 20 20 90")
        bad.write_bytes(b"nothing")
        press(page.card.acts["size"])
        panel = asking(page, SizePanel)
        panel.name.setText("20 x 90")
        panel.file.take(str(bad))
        assert (
            panel.file.file_row.error == "bad.stl cannot be read as a model. Export it again from the model."
        )
        press(panel.confirm_button)
        assert page.standing_over is panel
        assert panel.name.text() == "20 x 90"
        assert "20 x 90" not in sizes(desk)
        panel.file.take(str(good))
        assert (panel.file.file_row.error, panel.file.found.text()) == ("", "Sound, 20 x 20 x 90 mm.")
        panel.file.unit.buttons["inch"].click()
        assert "508 x 508 x 2286 mm does not fit the platform" in panel.file.found.text()
        panel.file.refuse(GivenFile(bad), ShopError("late news of another file"))
        assert panel.file.file_row.error == ""
        panel.file.unit.buttons["mm"].click()
        press(panel.confirm_button)
        assert sizes(desk)["20 x 90"].model_id is not None

    def test_a_file_may_be_taken_away_again(
        self, page: PatternBookPage, desk: AidShop, tmp_path: Path
    ) -> None:
        press(page.card.acts["size"])
        panel = asking(page, SizePanel)
        panel.name.setText("later")
        panel.file.take(str(tmp_path / "gone.stl"))
        assert panel.file.refused
        press(panel.file.away_button)
        press(panel.confirm_button)
        assert sizes(desk)["later"].model_id is None

    def test_the_same_turn_is_no_new_revision(self, page: PatternBookPage, desk: AidShop) -> None:
        line = page.card.line
        assert line is not None
        page._ask_turn(line)
        panel = asking(page, TurnPanel)
        assert panel.words.text() == "Stands 40 x 30 x 20 mm."
        press(panel.confirm_button)
        assert "printed so already" in panel._error.text()
        assert page.standing_over is panel

    def test_a_size_without_a_model_is_not_turned(self, page: PatternBookPage, desk: AidShop) -> None:
        bare = desk.own.size(desk.pattern, "bare", file=None)
        page.arrived()
        press(page.card.sizes.row.buttons[str(bare.id)])
        press(page.card.acts["model"])
        panel = asking(page, SizeActs)
        assert not panel.acts["Turn it on the platform"].isVisible()
        press(panel.acts["A new model file"])
        revision = asking(page, RevisionPanel)
        press(revision.confirm_button)
        assert revision.file.file_row.error == "Choose a file first."

    def test_a_refusal_without_a_question_is_told_below(
        self, page: PatternBookPage, desk: AidShop, here: Standing
    ) -> None:
        with here.shop.read() as uow:
            here.person = next(each for each in uow.people.find() if each.name == "Max")
        assert page.card.line is not None
        page.edits.take_out(page.card.line)
        assert "Only the desk may edit the pattern book" in here.messages.problems[0]  # type: ignore[attr-defined]


class TestDropping:
    def test_a_file_dropped_on_the_page_begins_a_size(
        self, page: PatternBookPage, desk: AidShop, tmp_path: Path
    ) -> None:
        box = tmp_path / "box.stl"
        box.write_bytes(b"box 20 20 90")
        assert drop(page, str(box))
        panel = asking(page, SizePanel)
        assert panel.file.found.text() == "Sound, 20 x 20 x 90 mm."
        other = tmp_path / "other.stl"
        other.write_bytes(b"box 20 20 70")
        assert drop(page, str(other))
        assert page.standing_over is panel
        assert panel.file.found.text() == "Sound, 20 x 20 x 70 mm."
        assert drop(panel.file, str(box))
        assert panel.file.button.text() == "box.stl"

    def test_a_file_dropped_where_a_revision_is_asked_for_is_that(
        self, page: PatternBookPage, desk: AidShop, tmp_path: Path
    ) -> None:
        box = tmp_path / "box.stl"
        box.write_bytes(b"box 20 20 90")
        assert page.card.line is not None
        page._ask_revision(page.card.line)
        assert drop(page, str(box))
        assert asking(page, RevisionPanel).file.button.text() == "box.stl"
        page.close_question()
        page._ask_change()
        assert drop(page, str(box)), "it is taken, and nothing is lost by it"
        assert isinstance(page.standing_over, PatternPanel)


class TestKept:
    def test_what_was_chosen_and_half_filled_in_is_there_after_a_restart(
        self, page: PatternBookPage, desk: AidShop, qtbot: QtBot, here: Standing, tmp_path: Path
    ) -> None:
        wide = desk.own.size(desk.pattern, "45 x 80")
        box = tmp_path / "box.stl"
        box.write_bytes(b"box 20 20 90")
        page.arrived()
        press(page.card.sizes.row.buttons[str(wide.id)])
        page.edits.ask_pattern()
        asking(page, PatternPanel).name.setText("hose clip")
        press(asking(page, PatternPanel).back_button)
        press(page.card.acts["size"])
        asking(page, SizePanel).name.setText("50 x 80")
        asking(page, SizePanel).file.take(str(box))
        state = page.kept_state()

        again = PatternBookPage(here)
        qtbot.addWidget(again)
        again.restore_state(state)
        again.resize(1108, 652)
        again.show()
        again.arrived()
        assert again.card.line is not None
        assert again.card.line.size.id == wide.id
        press(again.card.acts["size"])
        size = asking(again, SizePanel)
        assert (size.name.text(), size.file.found.text()) == ("50 x 80", "Sound, 20 x 20 x 90 mm.")
        press(size.anew_button)
        assert (size.name.text(), size.file.given) == ("", None)
        press(size.back_button)
        again.edits.ask_pattern()
        assert asking(again, PatternPanel).name.text() == "hose clip"

    def test_a_state_that_is_not_ours_is_no_harm(self, page: PatternBookPage, desk: AidShop) -> None:
        page.restore_state({"chosen": "x", "size": "", "drafts": "{"})
        page.arrived()
        assert page.card.name.text() == desk.pattern.name
