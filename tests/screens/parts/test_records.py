"""The table model and the table."""

from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, Qt
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot
from tests.screens.hands import key, press

from printcrib.screens.parts.bars import LifeBar, MaterialBar
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.records import CELL_ROLE, RECORD_ROLE, Cell, Column, RecordModel
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.shell.theme import Theme


@dataclass(frozen=True)
class Thing:
    key: int
    name: str
    grams: int


THINGS = (
    Thing(1, "PLA grey", 148),
    Thing(2, "PETG black", 412),
    Thing(3, "ASA grey", 640),
    Thing(4, "TPU blue", 92),
)


def things_model() -> RecordModel[Thing]:
    model: RecordModel[Thing] = RecordModel(
        (
            Column(
                "Spool",
                200,
                lambda t: Cell(t.name, f"S-{t.key}", strong=True, chip="#888888"),
                lambda t: t.name,
            ),
            Column("Left", 100, lambda t: Cell(f"{t.grams} g"), lambda t: t.grams, right=True),
            Column("Bar", 0, lambda t: Cell(bar=MaterialBar(1000, t.grams, 200))),
            Column("Nozzle", 90, lambda t: Cell(nozzle="0.6")),
        ),
        key=lambda t: t.key,
        search_text=lambda t: t.name,
    )
    model.set_records(THINGS)
    return model


def names(model: RecordModel[Thing]) -> list[str]:
    return [thing.name for thing in model.rows]


class TestModel:
    def test_is_a_sound_qt_model(self, qtmodeltester: ModelTester, theme: Theme) -> None:
        model = things_model()
        qtmodeltester.check(model)  # type: ignore[no-untyped-call]
        model.sort(1, Qt.SortOrder.DescendingOrder)
        model.search("grey")
        model.set_records(THINGS[:2])
        qtmodeltester.check(model)  # type: ignore[no-untyped-call]

    def test_sorts_both_ways_and_back(self) -> None:
        model = things_model()
        model.sort(1)
        assert names(model) == ["TPU blue", "PLA grey", "PETG black", "ASA grey"]
        model.sort(1, Qt.SortOrder.DescendingOrder)
        assert names(model)[0] == "ASA grey"
        model.sort(-1)
        assert names(model) == [thing.name for thing in THINGS]

    def test_a_column_without_a_key_does_not_sort(self) -> None:
        model = things_model()
        model.sort(2)
        assert names(model) == [thing.name for thing in THINGS]

    def test_finds_every_word_in_any_case(self) -> None:
        model = things_model()
        model.search(" GREY a ")
        assert names(model) == ["PLA grey", "ASA grey"]
        model.search("blue grey")
        assert names(model) == []
        model.search("")
        assert len(names(model)) == 4

    def test_order_and_search_stay_over_new_records(self) -> None:
        model = things_model()
        model.sort(1)
        model.search("grey")
        model.set_records((*THINGS, Thing(5, "PLA grey", 1)))
        assert [thing.key for thing in model.rows] == [5, 1, 3]

    def test_a_kept_index_follows_its_record_through_a_sort(self) -> None:
        model = things_model()
        kept = QPersistentModelIndex(model.index(0, 0))
        model.sort(1)
        assert kept.row() == 1
        assert kept.data(RECORD_ROLE) == THINGS[0]

    def test_tells_a_screen_reader_what_is_painted(self) -> None:
        model = things_model()
        assert model.index(0, 0).data() == "PLA grey, S-1"
        assert "148 g left of 1000" in model.index(0, 2).data()
        assert model.index(0, 3).data() == "nozzle 0.6"
        assert isinstance(model.index(0, 0).data(CELL_ROLE), Cell)
        assert model.index(0, 0).data(Qt.ItemDataRole.DecorationRole) is None
        assert model.data(QModelIndex()) is None

    def test_a_hundred_thousand_rows_are_found_and_sorted(self) -> None:
        model = things_model()
        model.set_records([Thing(n, f"spool {n}", n % 977) for n in range(100_000)])
        model.sort(1, Qt.SortOrder.DescendingOrder)
        assert model.rows[0].grams == 976
        model.search("99999")
        assert names(model) == ["spool 99999"]


class TestTable:
    def table(self, qtbot: QtBot) -> RecordTable[Thing]:
        table: RecordTable[Thing] = RecordTable(things_model(), says="spools", empty="No spools yet.")
        qtbot.addWidget(table)
        table.resize(800, 400)
        with qtbot.waitExposed(table):
            table.show()
        return table

    def test_chosen_stays_chosen_over_new_records(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        assert table.choose(3)
        with qtbot.assertNotEmitted(table.opened):
            table.set_records(tuple(reversed(THINGS)))
        assert table.chosen == THINGS[2]

    def test_what_is_gone_is_chosen_no_more(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        table.choose(3)
        with qtbot.waitSignal(table.chosen_changed) as told:
            table.set_records(THINGS[:2])
        assert told.args == [None]
        assert table.chosen is None
        assert not table.choose(3)

    def test_up_down_and_enter(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        table.choose(1)
        with qtbot.waitSignal(table.chosen_changed) as chosen:
            key(table.view, Qt.Key.Key_Down)
        assert chosen.args == [THINGS[1]]
        with qtbot.waitSignal(table.opened) as opened:
            key(table.view, Qt.Key.Key_Return)
        assert opened.args == [THINGS[1]]

    def test_a_second_press_opens(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        spot = table.view.visualRect(table.model.index(2, 0)).center()
        with qtbot.assertNotEmitted(table.opened):
            press(table.view.viewport(), spot)
        assert table.chosen == THINGS[2]
        with qtbot.waitSignal(table.opened):
            press(table.view.viewport(), spot)

    def test_sorts_by_keys(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        alt = Qt.KeyboardModifier.AltModifier
        key(table.view, Qt.Key.Key_Right, alt)
        assert table.model.sorted_by == (0, False)
        key(table.view, Qt.Key.Key_Right, alt)
        key(table.view, Qt.Key.Key_Down, alt)
        assert table.model.sorted_by == (1, True)
        assert table.model.rows[0].grams == 640

    def test_sorts_by_pressing_the_heading(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        header = table.view.horizontalHeader()
        for largest_first in (False, True):
            press(header.viewport(), QPoint(210, 20))
            assert table.model.sorted_by == (1, largest_first)

    def test_an_empty_table_says_so(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        table.set_records(())
        assert not table.view.isVisible()
        assert table._empty.text() == "No spools yet."
        table.set_records(THINGS)
        assert table.view.isVisible()

    def test_rows_are_as_high_as_told_and_columns_fill_the_width(self, qtbot: QtBot, theme: Theme) -> None:
        table = self.table(qtbot)
        assert table.view.rowHeight(0) == 64
        assert sum(table.view.columnWidth(c) for c in range(4)) == table.width() - 2

    def test_paints_every_kind_of_cell_in_both_themes(self, qtbot: QtBot, each_theme: Theme) -> None:
        table = self.table(qtbot)
        table.choose(1)
        picture = table.grab().toImage()
        seen = {picture.pixelColor(x, y).name() for x in range(0, 800, 3) for y in range(46, 110)}
        tokens = current_tokens()
        for colour in (tokens.tint, tokens.accent, tokens.ink, tokens.line):
            assert colour.name() in seen


def test_life_bar_is_past_its_life_from_the_middle_on() -> None:
    assert not LifeBar(599, 470, 600, 790).past
    assert LifeBar(600, 470, 600, 790).past
    assert "past its expected life" in LifeBar(600, 470, 600, 790).words
