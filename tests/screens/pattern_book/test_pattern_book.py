"""The Pattern book: find, request, add and change patterns, sizes and revisions."""

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import key, press, typing
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop

from printcrib.core.patterns import Pattern, Size
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.pattern_book.pattern_panel import PatternPanel
from printcrib.screens.pattern_book.screen import PatternBookPage
from printcrib.screens.pattern_book.size_panel import RevisionPanel, SizePanel, TurnPanel
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.services.edit_patterns import change_pattern


@pytest.fixture
def desk() -> AidShop:
    """A shop with one pattern of one size."""
    clock = FakeClock()
    return aid_shop(fake_shop(clock=clock), clock)


@pytest.fixture
def asked() -> list[int]:
    """Sizes a request was begun for."""
    return []


@pytest.fixture
def page(
    qtbot: QtBot, theme: Theme, desk: AidShop, messages: FakeMessages, asked: list[int]
) -> PatternBookPage:
    """The place, shown, for the desk."""
    with desk.shop.read() as uow:
        person = next(each for each in uow.people.find() if each.name == "Dora")
    standing = Standing(
        desk.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=person,
        zone=ZoneInfo("Europe/Vienna"),
        open_place=lambda _place, _key: None,
        raise_request=asked.append,
    )
    made = PatternBookPage(standing)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    return made


def asking(page: PatternBookPage, kind: type[AskPanel]) -> AskPanel:
    """The panel that stands over the page."""
    panel = page.standing_over
    assert isinstance(panel, kind)
    return panel


def patterns(desk: AidShop) -> dict[str, Pattern]:
    """Listed patterns by name."""
    with desk.shop.read() as uow:
        return {each.name: each for each in uow.patterns.find() if each.listed}


def sizes(desk: AidShop) -> dict[str, Size]:
    """Sizes of the book by name."""
    with desk.shop.read() as uow:
        return {each.name: each for each in uow.sizes.find() if each.pattern_id == desk.pattern.id}


def pressed(panel: AskPanel, words: str) -> None:
    """Press the button with these words."""
    next(each for each in panel.findChildren(QAbstractButton) if each.text() == words).click()


def test_the_book_opens_at_its_first_pattern_and_reads_well(
    page: PatternBookPage, desk: AidShop, qtbot: QtBot
) -> None:
    assert page.card.name.text() == desk.pattern.name
    assert page.card.line is not None
    assert page.card.line.name == desk.size.name
    qtbot.waitUntil(lambda: faults_of(page) == [])


def test_request_this_leads_to_the_form(page: PatternBookPage, desk: AidShop, asked: list[int]) -> None:
    assert page.main_button is not None
    press(page.main_button)
    assert asked == [desk.size.id]


def test_the_list_is_narrowed_by_size_and_empty_says_what_to_do(page: PatternBookPage) -> None:
    typing(page.search, "32 x")
    assert page.table.model.rowCount() == 1
    page.search.setText("no such thing")
    assert page.table.model.rowCount() == 0
    assert page.card.name.text() == "Choose a pattern."
    assert page.main_button is not None
    assert not page.main_button.isEnabled()


def test_a_pattern_is_added_by_keyboard(page: PatternBookPage, desk: AidShop) -> None:
    key(page, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    panel = asking(page, PatternPanel)
    assert isinstance(panel, PatternPanel)
    assert not panel.safety.answered, "nothing is answered for anybody"
    key(panel.kind, Qt.Key.Key_Return)
    assert panel.name_field.error
    typing(panel.name, "hose clip")
    panel.steps.setPlainText("deburr\n\n label ")
    key(panel.kind, Qt.Key.Key_Return)
    assert page.standing_over is None
    made = patterns(desk)["hose clip"]
    assert (made.finishing_steps, made.safety_answers) == (("deburr", "label"), None)
    assert page.card.name.text() == "hose clip"


def test_a_pattern_is_changed_by_mouse(page: PatternBookPage, desk: AidShop) -> None:
    press(page.card.acts["pattern"])
    panel = asking(page, PatternPanel)
    assert isinstance(panel, PatternPanel)
    panel.safety.buttons["2"].click()
    panel.life.set_value(900)
    press(panel.confirm_button)
    changed = patterns(desk)[desk.pattern.name]
    assert (changed.expected_life, changed.safety_answers) == (900, (2,))


def test_a_stale_edit_says_who_was_first_and_keeps_what_was_typed(
    page: PatternBookPage, desk: AidShop
) -> None:
    press(page.card.acts["pattern"])
    panel = asking(page, PatternPanel)
    assert isinstance(panel, PatternPanel)
    typing(panel.kind, " and sets")
    change_pattern(desk.shop, desk.own.press("Lea"), patterns(desk)[desk.pattern.name])
    with desk.shop.write(desk.own.press("Lea"), "edit for a test") as uow:
        uow.patterns.save(uow.patterns.get(desk.pattern.id))
        uow.commit()
    press(panel.confirm_button)
    assert page.standing_over is panel
    assert panel.kind.text().endswith("and sets")


def test_a_size_comes_with_its_model(page: PatternBookPage, desk: AidShop, tmp_path: Path) -> None:
    box = tmp_path / "box.stl"
    box.write_bytes(b"box 20 20 90")
    press(page.card.acts["size"])
    panel = asking(page, SizePanel)
    assert isinstance(panel, SizePanel)
    panel.name.setText("20 x 90")
    panel.file.take(str(box))
    panel.file.source.setText("drawn here")
    press(panel.confirm_button)
    assert page.standing_over is None
    made = sizes(desk)["20 x 90"]
    with desk.shop.read() as uow:
        assert made.model_id is not None
        assert uow.models.get(made.model_id).source == "drawn here"


def test_a_refused_file_is_one_sentence_and_the_form_stays(
    page: PatternBookPage, desk: AidShop, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.stl"
    bad.write_bytes(b"nothing")
    press(page.card.acts["size"])
    panel = asking(page, SizePanel)
    assert isinstance(panel, SizePanel)
    panel.name.setText("odd")
    panel.file.take(str(bad))
    press(panel.confirm_button)
    assert page.standing_over is panel
    assert panel.name.text() == "odd"
    panel.file.take(str(tmp_path / "gone.stl"))
    press(panel.confirm_button)
    assert "odd" not in sizes(desk)


def test_a_new_file_is_the_next_revision_and_a_turn_is_one_too(
    page: PatternBookPage, desk: AidShop, tmp_path: Path
) -> None:
    box = tmp_path / "box.stl"
    box.write_bytes(b"box 40 30 25")
    for act, expected in (("A new model file", "B"), ("Turn it on the platform", "C")):
        press(page.card.acts["model"])
        pressed(asking(page, AskPanel), act)
        panel = page.standing_over
        if isinstance(panel, RevisionPanel):
            press(panel.confirm_button)
            assert page.standing_over is panel, "a file has to be chosen first"
            panel.file.take(str(box))
        else:
            assert isinstance(panel, TurnPanel)
            panel.choice.buttons["-z/0"].click()
        press(panel.confirm_button)
        page.refresh(frozenset({"models"}))
        assert page.card.line is not None
        assert page.card.line.revision == expected


def test_a_size_is_changed_and_taken_out_of_the_book(page: PatternBookPage, desk: AidShop) -> None:
    press(page.card.acts["model"])
    pressed(asking(page, AskPanel), "Change name, spares or limit")
    panel = asking(page, SizePanel)
    assert isinstance(panel, SizePanel)
    panel.spares.set_value(2)
    press(panel.confirm_button)
    assert sizes(desk)[desk.size.name].minimum_spares == 2
    press(page.card.acts["model"])
    pressed(asking(page, AskPanel), "Take it out of the book")
    assert not sizes(desk)[desk.size.name].active
