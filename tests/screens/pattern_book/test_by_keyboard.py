"""The whole place by keyboard alone: no hand leaves the keys."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.hands import focused, key, typing
from tests.screens.pattern_book.hands_on import asking, line_of, patterns, revision_of, sizes, tab_to
from tests.services.aid_shop import AidShop

from printcrib.core.materials import Insert
from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.pattern_book import file_field
from printcrib.screens.pattern_book.model_panels import RevisionPanel, TurnPanel
from printcrib.screens.pattern_book.pattern_panel import PatternPanel
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.pattern_book.size_acts import SizeActs
from printcrib.screens.pattern_book.size_panel import SizePanel

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def box(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file that is picked whenever one is asked for."""
    path = tmp_path / "box.stl"
    path.write_bytes(b"box 20 20 90")
    monkeypatch.setattr(file_field, "ask_path", lambda *_asked: str(path))
    return path


def enter() -> None:
    """Press Enter on what has the focus."""
    key(None, Qt.Key.Key_Return)


def test_find_choose_a_size_and_request_it(
    page: PatternBookPage, desk: AidShop, asked: list[int | None]
) -> None:
    wide = desk.own.size(desk.pattern, "45 x 80")
    desk.own.pattern("caliper rest")
    page.arrived()
    key(page, Qt.Key.Key_F, CONTROL)
    typing(None, "spindle")
    assert page.table.model.rowCount() == 1
    for _ in "spindle":
        key(None, Qt.Key.Key_Backspace)
    assert page.table.model.rowCount() == 2
    tab_to(page.table.view)
    key(None, Qt.Key.Key_Down)
    QApplication.processEvents()
    assert page.card.name.text() == "spindle stop"
    tab_to(page.card.sizes.row.buttons[str(desk.size.id)])
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Space)
    assert page.card.line is not None
    assert page.card.line.size.id == wide.id
    tab_to(page.card.panel.view)
    key(None, Qt.Key.Key_Left)
    key(page, Qt.Key.Key_Return, CONTROL)
    assert asked == [wide.id]


def test_keys_read_on_in_the_facts(page: PatternBookPage, desk: AidShop, qtbot: QtBot) -> None:
    desk.edit_pattern(safety_answers=(1, 2, 5, 6), notes="so that there is more to read than room for it")
    page.arrived()
    bar = page.card.facts.reading.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    page.search.setFocus()
    tab_to(page.card.facts)
    for code, expected in (
        (Qt.Key.Key_End, bar.maximum()),
        (Qt.Key.Key_Home, 0),
        (Qt.Key.Key_Down, bar.singleStep()),
        (Qt.Key.Key_Up, 0),
        (Qt.Key.Key_PageDown, bar.pageStep()),
        (Qt.Key.Key_PageUp, 0),
    ):
        key(None, code)
        assert bar.value() == min(expected, bar.maximum())


def test_a_pattern_is_added(page: PatternBookPage, desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "insert") as uow:
        magnet = uow.inserts.add(Insert(name="magnet 6 x 3"))
        uow.commit()
    key(page, Qt.Key.Key_N, CONTROL)
    panel = asking(page, PatternPanel)
    assert focused() is panel.name
    enter()
    assert panel.name_field.error == "Type a name."
    typing(None, "hose clip")
    tab_to(panel.material.button)
    enter()
    asking(page, PickPanel)
    key(None, Qt.Key.Key_Down)
    enter()
    tab_to(panel.steps)
    typing(None, "deburr")
    enter()
    enter()
    typing(None, "label")
    tab_to(panel.inserts.add_field.button)
    enter()
    key(None, Qt.Key.Key_Home)
    enter()
    key(None, Qt.Key.Key_Plus)
    tab_to(panel.life.number_button)
    for digit in "900":
        typing(None, digit)
    enter()
    tab_to(panel.safety.buttons["2"])
    key(None, Qt.Key.Key_Space)
    tab_to(panel.confirm_button)
    enter()
    assert page.standing_over is None
    made = patterns(desk)["hose clip"]
    assert (made.finishing_steps, made.safety_answers, made.expected_life) == (("deburr", "label"), (2,), 900)
    assert made.inserts == ((magnet.id, 2),)
    assert made.material_id == desk.own.material("PA + 30 % glass")
    assert page.card.name.text() == "hose clip"


def test_a_pattern_is_changed_from_the_list_and_escape_keeps_what_was_typed(
    page: PatternBookPage, desk: AidShop
) -> None:
    page.search.setFocus()
    tab_to(page.table.view)
    enter()
    panel = asking(page, PatternPanel)
    tab_to(panel.colour)
    typing(None, "black")
    key(None, Qt.Key.Key_Escape)
    assert patterns(desk)[desk.pattern.name].colour == ""
    enter()
    again = asking(page, PatternPanel)
    assert again.colour.text() == "black"
    assert again.anew_button.isVisible()
    tab_to(again.name)
    enter()
    assert patterns(desk)[desk.pattern.name].colour == "black"


def test_a_size_is_added_with_its_model(page: PatternBookPage, desk: AidShop, box: Path) -> None:
    page.search.setFocus()
    tab_to(page.card.acts["size"])
    enter()
    panel = asking(page, SizePanel)
    typing(None, "20 x 90")
    tab_to(panel.spares.number_button)
    key(None, Qt.Key.Key_Plus)
    tab_to(panel.file.button)
    enter()
    assert panel.file.found.text() == "Sound, 20 x 20 x 90 mm."
    tab_to(panel.file.source)
    typing(None, "drawn here")
    tab_to(panel.file.licence)
    typing(None, "our own")
    tab_to(panel.confirm_button)
    enter()
    made = sizes(desk)["20 x 90"]
    with desk.shop.read() as uow:
        model = uow.models.get(made.model_id or 0)
    assert (made.minimum_spares, model.source, model.licence) == (1, "drawn here", "our own")
    assert page.card.line is not None
    assert page.card.line.name == "20 x 90", "what was added is shown"


def test_a_one_off_is_taken_into_the_book(page: PatternBookPage, desk: AidShop) -> None:
    request = desk.own.ask(words="clip for a lamp")
    page.search.setFocus()
    tab_to(page.card.acts["size"])
    enter()
    panel = asking(page, SizePanel)
    assert focused() is panel.way.buttons["new"]
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Space)
    tab_to(panel.name)
    typing(None, "25")
    enter()
    assert panel.before_field.error == "Choose one first."
    tab_to(panel.before.button)
    enter()
    key(None, Qt.Key.Key_Home)
    enter()
    assert "Its copies, counts and releases stay with it." in panel.before_words.text()
    tab_to(panel.confirm_button)
    enter()
    assert sizes(desk)["25"].id == request.size_id


def test_a_new_file_and_a_turn_are_the_next_revisions(
    page: PatternBookPage, desk: AidShop, box: Path
) -> None:
    page.search.setFocus()
    tab_to(page.card.acts["model"])
    enter()
    tab_to(asking(page, SizeActs).acts["A new model file"])
    enter()
    revision = asking(page, RevisionPanel)
    tab_to(revision.file.button)
    enter()
    tab_to(revision.confirm_button)
    enter()
    assert revision_of(page) == "B"
    tab_to(page.card.acts["model"])
    enter()
    tab_to(asking(page, SizeActs).acts["Turn it on the platform"])
    enter()
    turn = asking(page, TurnPanel)
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Right)
    key(None, Qt.Key.Key_Space)
    assert turn.words.text() == "Stands 20 x 90 x 20 mm."
    tab_to(turn.confirm_button)
    enter()
    assert revision_of(page) == "C"


def test_a_size_is_changed_and_taken_out(page: PatternBookPage, desk: AidShop) -> None:
    page.search.setFocus()
    tab_to(page.card.acts["model"])
    enter()
    enter()
    panel = asking(page, SizePanel)
    tab_to(panel.place)
    typing(None, "drawer 4")
    enter()
    assert sizes(desk)[desk.size.name].shelf_place == "drawer 4"
    tab_to(page.card.acts["model"])
    enter()
    tab_to(asking(page, SizeActs).acts["Take it out of the book"])
    enter()
    assert not sizes(desk)[desk.size.name].active
    assert line_of(page) is None
