"""Magnets, bushings, screws: how many are left, some came in, count them, keep another kind."""

from collections.abc import Sequence

from PySide6.QtCore import Signal, SignalInstance

from printcrib.core.materials import Insert
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import Field, TextField
from printcrib.screens.parts.numbers import KeypadPanel, Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.record_table import ROW_PX, RecordTable
from printcrib.screens.spool_rack.columns import insert_model
from printcrib.services.look_at_spools import InsertRow


class InsertsPanel(AskPanel):
    """The list with its acts; stays until Back.

    Signals:
        received(object, int), counted(object, int): row and number. added(object): the Insert.
    """

    received = Signal(object, int)
    counted = Signal(object, int)
    added = Signal(object)

    def __init__(self, rows: Sequence[InsertRow]) -> None:
        super().__init__(
            "Inserts", sentence="Magnets, bushings, screws, threaded inserts.", width=820, stays=True
        )
        self.table: RecordTable[InsertRow] = RecordTable(
            insert_model(), says="inserts", row_px=ROW_PX, empty='None kept yet. Press "Keep another kind".'
        )
        self.table.setMinimumHeight(4 * ROW_PX)
        self.came_in = Button("Some came in", icon="plus")
        self.count = Button("Count them", icon="pencil")
        self.keep = Button("Keep another kind")
        self.came_in.clicked.connect(lambda: self._ask_number("How many came in?", "Receive", self.received))
        self.count.clicked.connect(
            lambda: self._ask_number("How many are there?", "Keep the count", self.counted)
        )
        self.keep.clicked.connect(self._ask_kind)
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.body.addWidget(self.table, 1)
        self.body.addLayout(row_of(self.came_in, self.count, self.keep, stretch=(1, 1, 1)))
        self.set_rows(rows)

    def set_rows(self, rows: Sequence[InsertRow]) -> None:
        """Show fresh numbers; the chosen kind stays chosen."""
        kept = self.table.chosen
        self.table.set_records(rows)
        if rows:
            self.table.choose(kept.insert.id if kept is not None else rows[0].insert.id)
        self._on_chosen()

    def _on_chosen(self) -> None:
        for button in (self.came_in, self.count):
            button.setEnabled(self.table.chosen is not None)

    def _ask_number(self, title: str, verb: str, told: SignalInstance) -> None:
        row = self.table.chosen
        if row is None:
            return
        keypad = KeypadPanel(title, "pieces", confirm=verb, sentence=row.insert.name)
        keypad.entered.connect(lambda number: told.emit(row, int(number)))
        keypad.open_once(self)

    def _ask_kind(self) -> None:
        panel = KindPanel()
        panel.told.connect(self.added.emit)
        panel.open_over(self)


class KindPanel(AskPanel):
    """A kind of insert to keep: its name, and how many at least.

    Signals:
        told(object): the Insert.
    """

    told = Signal(object)

    def __init__(self) -> None:
        super().__init__("Which kind?", confirm="Keep it", width=720)
        self.name = TextField(says="Name", example="magnet 6 x 3")
        self.least = Stepper(0, least=0, most=1000, step=5, unit="pieces", says="At least")
        self.body.addWidget(Field("Name", self.name))
        self.body.addWidget(Field("At least", self.least))
        self.confirmed.connect(
            lambda: self.told.emit(Insert(name=self.name.text().strip(), minimum=self.least.value))
        )
