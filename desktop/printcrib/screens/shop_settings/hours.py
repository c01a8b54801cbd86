"""The section "Hours and closed days"."""

from datetime import date

from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.calendar import day_words
from printcrib.core.shop import ClosedDay
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.page import column_of, row_of
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shop_settings.hours_panels import DAYS, CloseDaysPanel, DayPanel
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.section import Asker, Section
from printcrib.services.look_at_settings import DayLine, SettingsPage

DAY_ROW_PX = 58


def day_model() -> RecordModel[DayLine]:
    """The week."""
    return RecordModel(
        [
            Column("Day", 160, lambda line: Cell(DAYS[line.weekday], strong=True)),
            Column("Somebody is in", 0, lambda line: Cell(line.words, wrap=True)),
        ],
        key=lambda line: line.weekday,
    )


def closed_model(today: date) -> RecordModel[ClosedDay]:
    """Days to come on which nobody is in."""
    return RecordModel(
        [
            Column("Closed on", 190, lambda day: Cell(_day_words(day, today), strong=True)),
            Column("Why", 0, lambda day: Cell(day.words, wrap=True)),
        ],
        key=lambda day: day.id,
    )


def _day_words(closed: ClosedDay, today: date) -> str:
    return day_words(date.fromisoformat(closed.day), today.year)


class HoursSection(Section):
    """When somebody is in, and the days on which nobody is."""

    id = "hours"
    words = "Hours and closed days"
    main_words = "Close on a day"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(presenter, asker)
        self._wanted = ""
        self.days: RecordTable[DayLine] = RecordTable(day_model(), says="the week", row_px=DAY_ROW_PX)
        self.closed: RecordTable[ClosedDay] = RecordTable(
            closed_model(presenter.today),
            says="closed days",
            row_px=DAY_ROW_PX,
            empty='No day is closed. Press "Close on a day" for holidays.',
        )
        self.change_button = Button("Change the hours", icon="pencil")
        self.open_button = Button("Open on that day", icon="undo")
        left = column_of(self.days, spacing=12)
        left.addLayout(_at_left(self.change_button))
        right = column_of(self.closed, spacing=12)
        right.addLayout(_at_left(self.open_button))
        row = row_of(spacing=16)
        row.addLayout(left, 1)
        row.addLayout(right, 1)
        self.column.addLayout(row, 1)
        self.change_button.clicked.connect(lambda: self._ask_day())
        self.days.opened.connect(lambda _line: self._ask_day())
        self.open_button.clicked.connect(lambda: self._open_day())
        self.closed.chosen_changed.connect(lambda _day: self._on_chosen())

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.days.set_records(page.days)
        wanted, self._wanted = self._wanted, ""
        if self.days.chosen is None:
            self.days.choose(int(wanted) if wanted.isdigit() else 0)
        self.closed.set_records(self._to_come())
        self._on_chosen()

    def summary(self) -> str:
        if self.page is None:
            return ""
        days = len({shift.weekday for shift in self.page.shifts})
        return f"{days} day{'' if days == 1 else 's'} a week"

    def sentence(self) -> str:
        return "Runs are started and taken off only while somebody is in."

    def do_main(self) -> None:
        taken = [date.fromisoformat(each.day) for each in self._to_come()]
        panel = CloseDaysPanel(self.presenter.today, taken)
        panel.told.connect(self.presenter.close_days)
        self.asker.ask(panel)

    @property
    def chosen_key(self) -> str:
        line = self.days.chosen
        return self._wanted or ("" if line is None else str(line.weekday))

    def choose(self, key: str) -> None:
        self._wanted = key
        if key.isdigit():
            self.days.choose(int(key))

    def _to_come(self) -> list[ClosedDay]:
        today = self.presenter.today.isoformat()
        return [each for each in self.page.closed_days if each.day >= today] if self.page else []

    def _on_chosen(self) -> None:
        self.open_button.setEnabled(self.closed.chosen is not None)
        self.change_button.setEnabled(self.page is not None)

    def _ask_day(self) -> None:
        line = self.days.chosen
        if line is None or self.page is None:
            return
        panel = DayPanel(line.weekday, self.page.shifts)
        panel.told.connect(self.presenter.keep_week)
        self.asker.ask(panel)

    def _open_day(self) -> None:
        day = self.closed.chosen
        if day is not None:
            self.presenter.open_day(day.id, _day_words(day, self.presenter.today))


def _at_left(*buttons: Button) -> QHBoxLayout:
    row = row_of(*buttons)
    row.addStretch(1)
    return row
