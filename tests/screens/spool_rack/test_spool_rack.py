"""The Spool rack: weighing, receiving and moving, by mouse and by keyboard."""

from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import key, press, typing
from tests.services.fake import fake_shop
from tests.services.own_shop import Own, own_shop

from printcrib.core.materials import Spool, SpoolState
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.screens.spool_rack.columns import chart_of, without_weekdays
from printcrib.screens.spool_rack.inserts_panel import InsertsPanel, KindPanel
from printcrib.screens.spool_rack.questions import ReceivePanel, ScalePanel, WeighPanel, WherePanel
from printcrib.screens.spool_rack.screen import SpoolRackPage
from printcrib.services.look_at_spools import look_at_spool
from printcrib.services.receive_spool import NewSpool, receive_spool

ZONE = ZoneInfo("Europe/Vienna")


@pytest.fixture
def own() -> Own:
    """A shop with one spool of 1000 g by its label."""
    made = own_shop(fake_shop())
    new = NewSpool(
        material_id=made.material(), colour="teal", sealed=False, tare_mg=200_000, tare_guessed=False
    )
    receive_spool(made.shop, made.press("Dora"), new)
    return made


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, own: Own, messages: FakeMessages) -> SpoolRackPage:
    """The place, shown, with the teal spool chosen."""
    with own.shop.read() as uow:
        person = next(each for each in uow.people.find() if each.name == "Dora")
    standing = Standing(
        own.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=person,
        zone=ZONE,
        open_place=lambda _place, _key: None,
    )
    made = SpoolRackPage(standing)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    with qtbot.waitActive(made):
        made.show()
    made.arrived()
    made.go_to(teal(own).id)
    return made


def teal(own: Own) -> Spool:
    """The spool of these tests."""
    with own.shop.read() as uow:
        return next(each for each in uow.spools.find() if each.colour == "teal")


def left_mg(own: Own) -> int:
    """What the books say is on it."""
    return look_at_spool(own.shop, teal(own).id).row.left_mg


def asking(page: SpoolRackPage, kind: type[AskPanel]) -> AskPanel:
    """The panel that stands over the page."""
    panel = page.standing_over
    assert isinstance(panel, kind)
    return panel


def test_the_rack_shows_the_spool_and_reads_well(page: SpoolRackPage) -> None:
    assert page.table.chosen is not None
    assert page.card.name.text().endswith("teal")
    assert faults_of(page) == []


def test_a_weigh_in_is_two_presses_and_a_number(
    page: SpoolRackPage, own: Own, messages: FakeMessages
) -> None:
    assert page.main_button is not None
    press(page.main_button)
    panel = asking(page, WeighPanel)
    assert isinstance(panel, WeighPanel)
    for digit in "1190":
        panel.keypad.press(digit)
    press(panel.confirm_button)
    assert page.standing_over is None
    assert 985_000 < left_mg(own) < 1_000_000
    assert "left, give or take" in messages.said[-1]


def test_a_reading_far_off_asks_and_books_nothing(page: SpoolRackPage, own: Own) -> None:
    page.actions_table.do("weigh")
    panel = asking(page, WeighPanel)
    assert isinstance(panel, WeighPanel)
    panel.entered.emit(Decimal(600))
    question = asking(page, ScalePanel)
    assert isinstance(question, ScalePanel)
    assert left_mg(own) == 1_000_000
    question.scale_is_right.emit()
    assert left_mg(own) == 400_000
    assert page.standing_over is None


def test_the_empty_reel_may_be_weighed_instead(page: SpoolRackPage, own: Own) -> None:
    page.actions_table.do("weigh")
    panel = asking(page, WeighPanel)
    assert isinstance(panel, WeighPanel)
    panel.entered.emit(Decimal(1400))
    question = asking(page, ScalePanel)
    assert isinstance(question, ScalePanel)
    question.reel_weighs.emit(Decimal(400))
    assert teal(own).tare_mg == 400_000
    assert page.standing_over is None


def test_a_spool_comes_in_by_keyboard(page: SpoolRackPage, own: Own, messages: FakeMessages) -> None:
    key(page, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    panel = asking(page, ReceivePanel)
    assert isinstance(panel, ReceivePanel)
    key(panel.colour, Qt.Key.Key_Return)
    asking(page, ReceivePanel)  # no colour is refused, the sheet stays
    typing(panel.colour, "ochre")
    typing(panel.price, "twenty")
    key(panel.colour, Qt.Key.Key_Return)
    assert panel.price_field.error
    panel.price.setText("24.90")
    key(panel.colour, Qt.Key.Key_Return)
    assert page.standing_over is None
    with own.shop.read() as uow:
        (spool,) = [each for each in uow.spools.find() if each.colour == "ochre"]
    assert (spool.price_thousandths, spool.state) == (24_900, SpoolState.SEALED)
    assert page.card.name.text().endswith("ochre")
    assert f"write {spool.tag} on it" in messages.said[-1]


def test_a_spool_moves_to_a_printer_the_dryer_and_the_rack(page: SpoolRackPage, own: Own) -> None:
    for words, state in (
        ("Into the dryer", SpoolState.DRYER),
        ("On the rack", SpoolState.SHELF),
        (f"On {own.printer().name}", SpoolState.ON_PRINTER),
    ):
        page.actions_table.do("move")
        panel = asking(page, WherePanel)
        button = next(b for b in panel.findChildren(type(page.card.move_button)) if b.text() == words)
        button.click()
        assert page.standing_over is None, words
        assert teal(own).state is state


def test_a_minimum_is_kept_and_shown(page: SpoolRackPage, own: Own) -> None:
    press(page.card.minimum_button)
    panel = asking(page, KeypadPanel)
    assert isinstance(panel, KeypadPanel)
    panel.entered.emit(Decimal(300))
    assert look_at_spool(own.shop, teal(own).id).row.minimum_mg == 300_000


def test_the_chart_begins_at_what_is_left(own: Own) -> None:
    chart = chart_of(look_at_spool(own.shop, teal(own).id), ZONE)
    assert (chart.grams, chart.steps, chart.runs_out) == (1000.0, (), None)
    assert chart.span >= 4
    assert len(chart.days) >= 3


def test_inserts_are_kept_received_and_counted(page: SpoolRackPage, own: Own) -> None:
    page.actions_table.do("inserts")
    panel = asking(page, InsertsPanel)
    assert isinstance(panel, InsertsPanel)
    assert not panel.count.isEnabled()
    press(panel.keep)
    kind = asking(page, KindPanel)
    assert isinstance(kind, KindPanel)
    typing(kind.name, "magnet 6 x 3")
    kind.least.set_value(20)
    press(kind.confirm_button)
    page.refresh(frozenset({"inserts"}))
    press(panel.came_in)
    keypad = asking(page, KeypadPanel)
    assert isinstance(keypad, KeypadPanel)
    keypad.entered.emit(Decimal(50))
    page.refresh(frozenset({"insert_entries"}))
    assert panel.table.chosen is not None
    assert panel.table.chosen.left == 50
    panel.counted.emit(panel.table.chosen, 12)
    page.refresh(frozenset({"insert_entries"}))
    assert "Below minimum: magnet 6 x 3." in page.subtitle.text()


@pytest.mark.parametrize(
    ("words", "shorter"),
    [("Thu 3 Dec to Mon 7 Dec", "3 Dec to 7 Dec"), ("below minimum", "below minimum"), ("Sunday", "Sunday")],
)
def test_two_days_fit_a_narrow_column(words: str, shorter: str) -> None:
    assert without_weekdays(words) == shorter
