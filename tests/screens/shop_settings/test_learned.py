"""What was learned, in Shop settings: rows by nozzle, the picture, odd prints named, forgetting."""

from collections.abc import Callable
from datetime import timedelta

from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import Own

from printcrib.core.materials import Source
from printcrib.core.runs import Run, RunState
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shell.theme import Theme
from printcrib.screens.shop_settings.learned import ForgetPanel, LearnedSection
from printcrib.screens.shop_settings.screen import ShopSettingsPage


def _log(own: Own, factors: tuple[float, ...]) -> None:
    with own.shop.write(own.press(), "log") as uow:
        for at, factor in enumerate(factors):
            uow.runs.add(
                Run(
                    number=uow.next_number("run"),
                    printer_id=own.printer().id,
                    bore_um=400,
                    state=RunState.TAKEN_OFF,
                    computed_minutes=60.0 + 30 * at,
                    computed_start_minutes=4.0,
                    minutes=(60.0 + 30 * at) * factor,
                    minutes_source=Source.PANEL,
                    taken_off_at=TUESDAY_MORNING - timedelta(days=at + 1),
                )
            )
        uow.commit()


def _section(page: ShopSettingsPage, own: Own) -> LearnedSection:
    page.arrived()
    page.open_section(LearnedSection.id)
    section = page.section
    assert isinstance(section, LearnedSection)
    section.table.choose(f"{own.printer().id} 400")
    return section


def test_before_any_print_it_says_what_to_do(page: ShopSettingsPage, own: Own) -> None:
    section = _section(page, own)
    assert page.subtitle.text().startswith("Estimates are as computed until")
    assert section.chart.isHidden()
    assert not section.acts["forget"].isEnabled()
    assert section.nothing.text() == (
        "No print of this nozzle counts yet. Tell the minutes when a run is taken off."
    )
    assert section.summary() == "nothing yet"


def test_what_was_learned_is_shown_with_odd_prints_named(
    page: ShopSettingsPage, own: Own, qtbot: QtBot, theme: Theme
) -> None:
    _log(own, (1.2, 1.21, 1.19, 1.2, 3.0, 1.2, 1.2))
    section = _section(page, own)
    assert page.subtitle.text() == "What the shop has learned: 7 prints count, 1 far off."
    assert section.chart.isVisibleTo(section)
    row = section.table.chosen
    assert row is not None
    name, facts = section.facts_of(row)
    assert name == "Left, nozzle 0.4"
    assert facts[0][0] == "Run 5 is far off"
    assert facts[0][1].startswith("9 h, likely 3 h ")
    assert section.acts["forget"].isEnabled()
    for size in ((1108, 652), (1664, 1012)):
        page.resize(*size)
        qtbot.waitUntil(lambda: faults_of(page) == [])
    assert not section.chart.grab().isNull()


def test_the_lead_has_it_forgotten_after_reading_what_that_does(page: ShopSettingsPage, own: Own) -> None:
    _log(own, (1.2, 1.2))
    section = _section(page, own)
    section.acts["forget"].click()
    panel = page.standing_over
    assert isinstance(panel, ForgetPanel)
    panel.confirmed.emit()
    assert page.standing_over is None
    row = section.table.chosen
    assert row is not None
    assert (row.count, row.basis) == (0, "nothing learned yet")
    assert row.since == "Forgotten on Tue 24 Nov by Lea"


def test_somebody_else_is_refused_beside_the_question(
    qtbot: QtBot, theme: Theme, stand: Callable[[str], Standing], own: Own
) -> None:
    _log(own, (1.2,))
    page = ShopSettingsPage(stand("Max"))
    qtbot.addWidget(page)
    page.resize(1108, 652)
    page.show()
    section = _section(page, own)
    section.acts["forget"].click()
    panel = page.standing_over
    assert isinstance(panel, ForgetPanel)
    panel.confirmed.emit()
    assert page.standing_over is panel
    with own.shop.read() as uow:
        assert uow.fresh_starts.count() == 0
