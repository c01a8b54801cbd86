"""The Trouble log: logging a failure and naming its cause, by mouse and by keyboard."""

from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.fakes import FakeMessages
from tests.screens.hands import key, press
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop

from printcrib.core.causes import CauseGroup
from printcrib.core.runs import Failure
from printcrib.core.troubles import CauseSum
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.shell.standing import Standing, StandingAlone
from printcrib.screens.shell.theme import Theme
from printcrib.screens.trouble_log.questions import CausePanel, FailurePanel
from printcrib.screens.trouble_log.screen import TroubleLogPage, fewer


@pytest.fixture
def desk() -> AidShop:
    """A shop with two copies at the desk."""
    clock = FakeClock()
    made = aid_shop(fake_shop(clock=clock), clock)
    made.printed(quantity=2)
    return made


@pytest.fixture
def page(qtbot: QtBot, theme: Theme, desk: AidShop, messages: FakeMessages) -> TroubleLogPage:
    """The place, shown."""
    with desk.shop.read() as uow:
        person = uow.people.find()[1]
    standing = Standing(
        desk.shop,
        StandingAlone(messages),
        messages,
        station="test",
        person=person,
        zone=ZoneInfo("Europe/Vienna"),
        open_place=lambda _place, _key: None,
    )
    made = TroubleLogPage(standing)
    qtbot.addWidget(made)
    made.resize(1108, 652)
    made.show()
    made.arrived()
    return made


def failures(desk: AidShop) -> tuple[Failure, ...]:
    """What is in the books."""
    with desk.shop.read() as uow:
        return uow.failures.find()


def question(page: TroubleLogPage) -> AskPanel:
    """The panel that stands over the page."""
    panel = page.standing_over
    assert isinstance(panel, AskPanel)
    return panel


def test_an_empty_log_says_what_to_do(page: TroubleLogPage) -> None:
    assert page.subtitle.text() == "0 failures."
    assert faults_of(page) == []


def test_a_failure_is_logged_by_mouse(page: TroubleLogPage, desk: AidShop, messages: FakeMessages) -> None:
    assert page.main_button is not None
    press(page.main_button)
    panel = question(page)
    assert isinstance(panel, FailurePanel)
    press(next(iter(panel.copies.buttons.values())))
    press(panel.cause.groups.buttons[CauseGroup.MACHINE.value])
    press(panel.cause.causes[CauseGroup.MACHINE].buttons["corner lifted"])
    press(panel.confirm_button)
    (failure,) = failures(desk)
    assert (failure.cause, len(failure.copy_ids)) == ("corner lifted", 1)
    assert page.table.model.rowCount() == 0
    page.refresh(frozenset({"failures"}))
    assert page.table.model.rowCount() == 1
    assert "corner lifted logged" in messages.said[-1]
    assert page.standing_over is None
    assert faults_of(page) == []


def test_no_copy_named_is_refused_and_what_was_typed_stays(page: TroubleLogPage, desk: AidShop) -> None:
    page.actions_table.do("log")
    panel = question(page)
    assert isinstance(panel, FailurePanel)
    panel.done.setText("platform washed")
    panel.confirm_button.click()
    assert failures(desk) == ()
    panel.cause.groups.buttons[CauseGroup.NOT_KNOWN.value].click()
    panel.confirm_button.click()
    assert failures(desk) == ()
    assert page.standing_over is panel
    assert panel.done.text() == "platform washed"


def test_a_cause_is_named_by_keyboard(page: TroubleLogPage, desk: AidShop, qtbot: QtBot) -> None:
    page.actions_table.do("log")
    panel = question(page)
    assert isinstance(panel, FailurePanel)
    next(iter(panel.copies.buttons.values())).click()
    panel.cause.groups.buttons[CauseGroup.NOT_KNOWN.value].click()
    panel.confirm_button.click()
    page.refresh(frozenset({"failures"}))
    page.table.view.setFocus()
    key(page.table.view, Qt.Key.Key_Down)
    page.table.choose(failures(desk)[0].id)
    key(page, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    named = question(page)
    assert isinstance(named, CausePanel)
    key(named.cause.groups.buttons[CauseGroup.MATERIAL.value], Qt.Key.Key_Space)
    key(named.cause.causes[CauseGroup.MATERIAL].buttons["damp"], Qt.Key.Key_Space)
    key(named.done, Qt.Key.Key_Return)
    assert failures(desk)[0].cause == "damp"


def test_the_commonest_causes_stay_and_the_unknown_is_last() -> None:
    def bar(cause: str, group: CauseGroup, count: int) -> CauseSum:
        return CauseSum(cause=cause, group=group.value, count=count, mg_lost=0, minutes_lost=0.0)

    bars = [bar(f"cause {n}", CauseGroup.MACHINE, 9 - n) for n in range(6)]
    bars.append(bar("not known yet", CauseGroup.NOT_KNOWN, 1))
    assert [each.cause for each in fewer(bars, 4)] == ["cause 0", "cause 1", "cause 2", "not known yet"]


def test_another_place_leads_here_with_a_copy(
    page: TroubleLogPage, desk: AidShop, messages: FakeMessages
) -> None:
    (later,) = desk.printed()
    page.go_to(later.id)
    panel = question(page)
    assert isinstance(panel, FailurePanel)
    assert panel.copies.ticked == {str(later.id)}
    page.close_question()
    page.go_to(9999)
    assert page.standing_over is None
    assert "not at the desk any more" in messages.problems[-1]
