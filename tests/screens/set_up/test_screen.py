"""The pages of the first start: every step fits, and every control works by hand."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import focused, key, press, typing
from tests.screens.set_up.conftest import KeptWords, Made

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.clock_words import minutes_of
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.pick import PickPanel
from printcrib.screens.parts.words import Words
from printcrib.screens.set_up import shop_card
from printcrib.screens.set_up.faults import ALONE, HOURS, PEOPLE, PRINTERS, SHOP, SPOOLS, STEPS
from printcrib.screens.set_up.form import Form, from_text, to_text
from printcrib.screens.set_up.letters import ERASE, LetterPanel
from printcrib.screens.set_up.presenter import FORM_KEY, STEP_KEY
from printcrib.screens.set_up.screen import SetUpPage
from printcrib.screens.set_up.spools_card import heat_words
from printcrib.screens.set_up.start_page import StartPage
from printcrib.screens.set_up.step_column import StepColumn
from printcrib.screens.shell.standing import StandingAlone
from printcrib.screens.shell.theme import Theme

MakePage = Callable[..., SetUpPage]


@pytest.fixture
def make_page(qtbot: QtBot, theme: Theme, made: Made, messages: FakeMessages, kept: KeptWords) -> MakePage:
    """Makes the page at a step, filled in or not, and shows it."""

    def make(step: int = SHOP, form: Form | None = None, size: tuple[int, int] = (1108, 652)) -> SetUpPage:
        if form is not None:
            kept.words = {FORM_KEY: to_text(form), STEP_KEY: str(step)}
        page = SetUpPage(made.beginnings(), StandingAlone(messages), messages, kept)
        qtbot.addWidget(page)
        page.resize(*size)
        with qtbot.waitActive(page):
            page.show()
        page.go_to(step)
        return page

    return make


def told(kept: KeptWords) -> Form:
    """The form as it is kept."""
    form = from_text(kept.text(FORM_KEY))
    assert form is not None
    return form


def question(page: SetUpPage) -> AskPanel:
    """The panel that stands over the page."""
    panel = page.standing_over
    assert isinstance(panel, AskPanel)
    return panel


@pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
@pytest.mark.parametrize("step", range(len(STEPS)))
def test_every_step_fits(make_page: MakePage, filled: Form, step: int, size: tuple[int, int]) -> None:
    assert faults_of(make_page(step, filled, size)) == []


@pytest.mark.parametrize("size", [(1108, 652), (1664, 1012)])
def test_the_start_page_fits(qtbot: QtBot, theme: Theme, size: tuple[int, int]) -> None:
    page = StartPage()
    qtbot.addWidget(page)
    page.resize(*size)
    page.show()
    assert faults_of(page) == []
    page.show_refusal(ShopError("There is no shop in /shops/old", "Choose its folder."))
    assert "no shop" in page.place.error
    assert faults_of(page) == []


def test_a_material_tells_its_heat_and_not_its_source() -> None:
    nylon = Material(name="PA6", density=1.13, nozzle_c_words="240-270 (from memory)")
    assert heat_words(nylon) == "nozzle 240-270 °C"
    assert heat_words(replace(nylon, nozzle_c_words="")) == ""


def test_the_answer_stands_right_below_the_question(make_page: MakePage, filled: Form) -> None:
    page = make_page(ALONE, replace(filled, alone="no"))
    answer, caution = page.alone.answer, page.alone.findChildren(Words)[-1]
    assert answer.mapTo(page.alone, answer.rect().topLeft()).y() < 150
    assert caution.geometry().top() < 260


def test_nothing_is_opened_without_a_name(qtbot: QtBot, theme: Theme) -> None:
    page = StartPage(demo_is_here=True)
    qtbot.addWidget(page)
    wanted: list[str] = []
    page.place_wanted.connect(wanted.append)
    press(page.open_button)
    assert "No shop is named" in page.place.error
    page.place_field.setText("/shops/old")
    key(page.place_field, Qt.Key.Key_Return)
    assert wanted == ["/shops/old"]
    assert page.place.error == ""
    assert page.demo_button.text() == "Open the demo shop"


def test_while_something_is_made_nothing_else_begins(qtbot: QtBot, theme: Theme) -> None:
    page = StartPage()
    qtbot.addWidget(page)
    page.show_busy(True)
    assert page.main_button is not None
    controls = (page.main_button, page.demo_button, page.open_button, page.place_field)
    assert [control.isEnabled() for control in controls] == [False] * 4
    page.show_busy(False)
    assert [control.isEnabled() for control in controls] == [True] * 4


def test_a_zone_is_picked_from_the_list(make_page: MakePage, kept: KeptWords) -> None:
    page = make_page()
    press(page.shop.zone_field.button)
    panel = question(page)
    assert isinstance(panel, PickPanel)
    panel.table.choose("America/New_York")
    press(panel.confirm_button)
    assert told(kept).zone == "America/New_York"
    assert page.shop.zone_field.button.text() == "America/New York"


def test_a_folder_is_chosen(make_page: MakePage, kept: KeptWords, monkeypatch: pytest.MonkeyPatch) -> None:
    page = make_page()
    monkeypatch.setattr(shop_card, "chosen_folder", lambda *_: "/shops/other")
    press(page.shop.folder_button)
    assert told(kept).place == "/shops/other"
    assert page.shop.place_field.text() == "/shops/other"


def test_letters_by_mouse(make_page: MakePage, kept: KeptWords) -> None:
    page = make_page()
    press(page.shop.name_field)
    press(page.other_buttons["letters"])
    panel = question(page)
    assert isinstance(panel, LetterPanel)
    for letter in ("K", "A", "X", ERASE, "R", "L", " ", "S"):
        press(panel.pad.keys[letter])
    key(panel.pad, Qt.Key.Key_Backspace)
    typing(panel.pad, "&")
    assert faults_of(panel) == []
    press(panel.confirm_button)
    assert told(kept).name == "Karl &"
    assert page.shop.name_field.text() == "Karl &"


def test_letters_need_a_field(make_page: MakePage, filled: Form, messages: FakeMessages) -> None:
    page = make_page(HOURS, filled)
    press(page.other_buttons["letters"])
    assert page.standing_over is None
    assert "Press the field" in messages.said[-1]


def test_people_come_and_go(make_page: MakePage, kept: KeptWords, filled: Form) -> None:
    page = make_page(PEOPLE, filled)
    assert not page.people.lines[0].remove_button.isEnabled()
    press(page.people.add_button)
    assert focused() is page.people.lines[2].name_field
    typing(None, "Ilse")
    press(page.people.lines[2].roles.buttons["desk"])
    assert [(row.name, row.roles) for row in told(kept).people][2] == ("Ilse", ("desk", "machinist"))
    press(page.people.lines[0].remove_button)
    assert [row.name for row in told(kept).people] == [" Petra", "Ilse"]
    assert page.people.lines[1].name_field.text() == "Ilse"
    assert page.main_button is not None
    press(page.main_button)
    assert page.step == PEOPLE
    assert faults_of(page) == []


def test_why_a_second_person_is_said(make_page: MakePage) -> None:
    page = make_page(PEOPLE)
    words = [label.text() for label in page.people.findChildren(type(page.title))]
    assert any("Nobody releases their own request." in line for line in words)


def test_printers_come_and_go(make_page: MakePage, kept: KeptWords, filled: Form) -> None:
    page = make_page(PRINTERS, filled)
    one = page.printers.one
    press(page.printers.rows.add_button)
    typing(focused(), "East")
    press(one.nozzles.buttons["800"])
    press(one.fitted.buttons["800"])
    press(one.hardened.buttons["800"])
    press(one.across)
    panel = question(page)
    assert isinstance(panel, KeypadPanel)
    for digit in "300":
        panel.keypad.press(digit)
    press(panel.confirm_button)
    east = told(kept).printers[2]
    assert (east.name, east.width_mm, east.fitted_um) == ("East", 300, 800)
    assert 800 in east.hardened_um
    press(one.fitted.buttons["800"])
    assert told(kept).printers[2].fitted_um == 0
    press(page.printers.rows.rows[0])
    assert one.name_field.text() == "North"
    press(one.remove_button)
    assert [row.name for row in told(kept).printers] == ["South", "East"]


def test_the_first_printer_with_something_missing_is_shown(make_page: MakePage, filled: Form) -> None:
    page = make_page(PRINTERS, filled)
    press(page.printers.rows.rows[1])
    for bore in ("400", "600"):
        press(page.printers.one.nozzles.buttons[bore])
    press(page.printers.rows.rows[0])
    assert page.main_button is not None
    press(page.main_button)
    assert page.step == PRINTERS
    assert page.printers.one.name_field.text() == "South"
    assert "Tick the nozzles" in page.printers.one.nozzles_field.error


def test_spools_come_and_go(make_page: MakePage, kept: KeptWords, filled: Form) -> None:
    page = make_page(SPOOLS, filled)
    one = page.spools.one
    press(one.repeat_button)
    assert (told(kept).spools[2].colour, told(kept).spools[2].on_printer) == ("grey", -1)
    press(one.colours.buttons["black"])
    press(one.where.buttons["0"])
    key(one.left, Qt.Key.Key_2)
    panel = question(page)
    assert isinstance(panel, KeypadPanel)
    typing(panel.keypad, "50")
    key(panel, Qt.Key.Key_Return)
    third = told(kept).spools[2]
    assert (third.colour, third.on_printer, third.left_g) == ("black", 0, 250)
    press(one.where.buttons["sealed"])
    third = told(kept).spools[2]
    assert (third.sealed, third.on_printer, third.left_g) == (True, -1, 1000)
    for _ in range(3):
        press(one.remove_button)
    assert told(kept).spools == ()
    assert faults_of(page) == []
    press(page.spools.rows.add_button)
    press(one.full)
    panel = question(page)
    assert isinstance(panel, KeypadPanel)
    for digit in "750":
        panel.keypad.press(digit)
    press(panel.confirm_button)
    assert (told(kept).spools[0].full_g, told(kept).spools[0].left_g) == (750, 750)


def test_shifts_come_and_go(make_page: MakePage, kept: KeptWords, filled: Form) -> None:
    page = make_page(HOURS, filled)
    press(page.hours.add_button)
    late = page.hours.lines[1]
    press(late.days.buttons["4"])
    press(late.opens.plus_button)
    key(late.closes, Qt.Key.Key_Up)
    late.closes.open_keypad("0")
    panel = question(page)
    assert isinstance(panel, KeypadPanel)
    typing(panel.keypad, "30")
    press(panel.confirm_button)
    row = told(kept).shifts[1]
    assert (row.days, row.opens, row.closes) == ((0, 1, 2, 3), 945, 30)
    press(page.hours.lines[0].remove_button)
    assert len(told(kept).shifts) == 1


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [(7, 420), (730, 450), (1537, 930), (0, 0), (2359, 1425), (99, 60), (30, 30), (1299, 780)],
)
def test_times_are_typed_as_on_the_clock(typed: int, minutes: int) -> None:
    assert minutes_of(typed) == minutes


@pytest.mark.parametrize(("typed", "minutes"), [(1630, 990), (7, 420), (24, 1439), (1799, 1079)])
def test_times_to_the_minute(typed: int, minutes: int) -> None:
    assert minutes_of(typed, nearest=1) == minutes


def test_nobody_in_by_the_exact_question(make_page: MakePage, kept: KeptWords, filled: Form) -> None:
    page = make_page(ALONE, Form(printers=filled.printers, spools=filled.spools, people=filled.people))
    assert page.alone.title.text() == "May prints run when nobody is in? Site fire rules decide."
    assert page.alone.answer.chosen is None
    press(page.alone.answer.buttons["yes"])
    assert list(page.alone.ticks[1].buttons) == ["PLA", "PETG"]
    press(page.alone.ticks[1].buttons["PLA"])
    assert told(kept).alone_on == ((1, "PLA"),)
    press(page.alone.answer.buttons["no"])
    assert told(kept).alone == "no"


def test_the_steps_on_the_side(qtbot: QtBot, theme: Theme) -> None:
    side = StepColumn(STEPS)
    qtbot.addWidget(side)
    side.show()
    side.show_steps(True)
    side.set_step(2, 3)
    pressed: list[int] = []
    side.step_pressed.connect(pressed.append)
    press(side.tabs[1])
    press(side.tabs[5])
    key(side.tabs[3], Qt.Key.Key_Return)
    assert pressed == [1, 3]
    assert [tab.isChecked() for tab in side.tabs] == [False, False, True, False, False, False]


def test_tab_goes_as_one_reads_and_round(make_page: MakePage, filled: Form) -> None:
    page = make_page(PEOPLE, filled)
    page.focus_first()
    assert focused() is page.people.lines[0].name_field
    key(None, Qt.Key.Key_Backtab)
    key(None, Qt.Key.Key_Tab)
    seen = []
    for _ in range(40):
        seen.append(focused().accessibleName())
        key(None, Qt.Key.Key_Tab)
        if focused() is page.people.lines[0].name_field:
            break
    assert seen[:3] == ["name of person 1", "Lead, person 1", "Desk, person 1"]
    assert seen[-4:] == ["Add a person", "Next: printers", "Back", "Letters"]
