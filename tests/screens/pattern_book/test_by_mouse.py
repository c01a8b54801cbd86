"""The whole place by mouse alone, what has to be typed left out: single presses, nothing dragged."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from tests.screens.hands import press
from tests.screens.pattern_book.hands_on import asking, line_of, patterns, revision_of, sizes
from tests.services.aid_shop import AidShop

from printcrib.core.materials import Insert
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.pattern_book import file_field
from printcrib.screens.pattern_book.model_panels import RevisionPanel, TurnPanel
from printcrib.screens.pattern_book.pattern_panel import PatternPanel
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.pattern_book.size_acts import SizeActs
from printcrib.screens.pattern_book.size_panel import SizePanel
from printcrib.services.edit_patterns import change_size


@pytest.fixture
def box(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file that is picked whenever one is asked for."""
    path = tmp_path / "box.stl"
    path.write_bytes(b"box 20 20 90")
    monkeypatch.setattr(file_field, "ask_path", lambda *_asked: str(path))
    return path


def press_row(table: RecordTable[object], row: int) -> None:
    """Press a row of a list."""
    QApplication.processEvents()
    at = table.view.visualRect(table.model.index(row, 0)).center()
    QTest.mouseClick(table.view.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)


def see_and_press(panel: PatternPanel | SizePanel, widget: QWidget) -> None:
    """Scroll to a control of a long question as the wheel does, and press it."""
    QApplication.processEvents()
    panel._scroll.ensureWidgetVisible(widget)
    QApplication.processEvents()
    assert not widget.visibleRegion().isEmpty()
    press(widget)


def test_choose_a_size_turn_it_and_request_it(
    page: PatternBookPage, desk: AidShop, asked: list[int | None]
) -> None:
    wide = desk.own.size(desk.pattern, "45 x 80")
    desk.own.pattern("caliper rest")
    page.arrived()
    press_row(page.table, 0)  # type: ignore[arg-type]
    assert page.card.name.text() == "caliper rest"
    press_row(page.table, 1)  # type: ignore[arg-type]
    press(page.card.sizes.row.buttons[str(wide.id)])
    for button in page.card.panel._buttons:
        press(button)
    assert page.main_button is not None
    press(page.main_button)
    assert asked == [wide.id]


def test_a_pattern_is_changed(page: PatternBookPage, desk: AidShop) -> None:
    with desk.shop.write(desk.own.press(), "insert") as uow:
        magnet = uow.inserts.add(Insert(name="magnet 6 x 3"))
        uow.commit()
    press(page.card.acts["pattern"])
    panel = asking(page, PatternPanel)
    press(panel.fine.buttons["rough"])
    see_and_press(panel, panel.material.button)
    materials = asking(page, PickPanel)
    press_row(materials.table, 2)  # type: ignore[arg-type]
    press(materials.confirm_button)
    see_and_press(panel, panel.inserts.add_field.button)
    inserts = asking(page, PickPanel)
    press_row(inserts.table, 0)  # type: ignore[arg-type]
    press(inserts.confirm_button)
    see_and_press(panel, panel.inserts.steppers[magnet.id].plus_button)
    see_and_press(panel, panel.life.number_button)
    keypad = asking(page, KeypadPanel)
    for digit in "850":
        keypad.keypad.press(digit)
    press(keypad.confirm_button)
    see_and_press(panel, panel.take_out.buttons["yes"])
    see_and_press(panel, panel.safety.buttons["2"])
    press(panel.confirm_button)
    changed = patterns(desk)[desk.pattern.name]
    assert (changed.how_fine, changed.expected_life, changed.safety_answers) == ("rough", 850, (2,))
    assert (changed.inserts, changed.take_out_before_start) == (((magnet.id, 2),), True)
    assert changed.material_id == desk.own.material("PETG")
    press(page.card.acts["pattern"])
    again = asking(page, PatternPanel)
    for _ in range(2):
        see_and_press(again, again.inserts.steppers[magnet.id].minus_button)
    press(again.confirm_button)
    assert patterns(desk)[desk.pattern.name].inserts == ()


def test_an_insert_no_longer_kept_still_shows(page: PatternBookPage, desk: AidShop) -> None:
    desk.edit_pattern(inserts=((99, 2),))
    page.arrived()
    press(page.card.acts["pattern"])
    panel = asking(page, PatternPanel)
    assert panel.inserts.steppers[99].value == 2
    press(panel.confirm_button)
    assert patterns(desk)[desk.pattern.name].inserts == ((99, 2),)


def test_what_was_taken_out_of_the_book_goes_in_again(page: PatternBookPage, desk: AidShop) -> None:
    press(page.card.acts["model"])
    press(asking(page, SizeActs).acts["Take it out of the book"])
    assert line_of(page) is None
    press(page.card.acts["size"])
    panel = asking(page, SizePanel)
    press(panel.way.buttons["before"])
    see_and_press(panel, panel.before.button)
    listed = asking(page, PickPanel)
    press_row(listed.table, 0)  # type: ignore[arg-type]
    press(listed.confirm_button)
    assert panel.name.text() == desk.size.name
    press(panel.confirm_button)
    assert sizes(desk)[desk.size.name].active
    assert page.card.line is not None
    assert page.card.line.size.id == desk.size.id


def test_a_new_file_and_a_turn_are_the_next_revisions(
    page: PatternBookPage, desk: AidShop, box: Path
) -> None:
    press(page.card.acts["model"])
    press(asking(page, SizeActs).acts["A new model file"])
    revision = asking(page, RevisionPanel)
    press(revision.file.button)
    assert revision.file.found.text() == "Sound, 20 x 20 x 90 mm."
    press(revision.confirm_button)
    press(page.card.acts["model"])
    press(asking(page, SizeActs).acts["Turn it on the platform"])
    turn = asking(page, TurnPanel)
    press(turn.choice.buttons["+x"])
    press(turn.confirm_button)
    assert revision_of(page) == "C"


def test_a_size_is_changed(page: PatternBookPage, desk: AidShop) -> None:
    change_size(desk.shop, desk.own.press(), desk.size)
    page.refresh(frozenset({"sizes"}))
    press(page.card.acts["model"])
    press(asking(page, SizeActs).acts["Its name, spares or limit"])
    panel = asking(page, SizePanel)
    press(panel.spares.plus_button)
    press(panel.limit.plus_button)
    press(panel.confirm_button)
    changed = sizes(desk)[desk.size.name]
    assert (changed.minimum_spares, changed.count_limit) == (1, 10)
    assert page.card.line is not None
    assert page.card.line.minimum_spares == 1


def test_back_changes_nothing(page: PatternBookPage, desk: AidShop) -> None:
    before = patterns(desk), sizes(desk)
    for act in ("size", "model", "pattern"):
        press(page.card.acts[act])
        press(page.standing_over.back_button)  # type: ignore[union-attr]
        assert page.standing_over is None
    assert (patterns(desk), sizes(desk)) == before
    assert page.edits.drafts == {}
