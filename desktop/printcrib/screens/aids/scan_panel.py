"""Scan a tag, or find an aid by its tag, name or machine."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent

from printcrib.core.errors import ShopError
from printcrib.screens.aids.model import found_model
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import Field, TextField
from printcrib.screens.parts.record_table import ROW_PX, RecordTable
from printcrib.services.look_at_aids import AidRow

ROWS_SHOWN = 4


class ScanPanel(AskPanel):
    """The scanner types into the field and ends with Enter; fingers may type, or press a row.

    Signals:
        scanned(str, object): what stands in the field, and the key of the first aid found (or None).
        taken(int): an aid pressed in the list.
    """

    scanned = Signal(str, object)
    taken = Signal(int)

    def __init__(self, rows: Sequence[AidRow]) -> None:
        super().__init__("Which aid?", confirm="Take this one", icon="scan", width=900, stays=True)
        self.field = TextField(says="tag, name or machine", example="T-0412")
        self.labelled = Field("Scan its tag, or type its number, name or machine", self.field)
        self.table: RecordTable[AidRow] = RecordTable(
            found_model(), says="aids found", row_px=ROW_PX, empty="No aid has these words."
        )
        self.table.view.horizontalHeader().hide()
        self.table.set_records(rows)
        self.table.setMinimumHeight(ROWS_SHOWN * ROW_PX + 4)
        self.body.addWidget(self.labelled)
        self.body.addWidget(self.table, 1)
        self.field.textChanged.connect(self._on_typed)
        self.field.installEventFilter(self)
        self.table.opened.connect(lambda row: self.taken.emit(row.aid_id))
        self.confirmed.connect(self._on_told)

    def focus_first(self) -> None:
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def refuse(self, error: ShopError) -> None:
        """No such tag: say so at the field; the next scan types over it."""
        self.labelled.set_error(str(error))
        self.focus_first()
        self.field.selectAll()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if watched is self.field and isinstance(event, QKeyEvent):
            down = event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Down
            if down and self.table.model.rowCount():
                self.table.view.setFocus(Qt.FocusReason.TabFocusReason)
                return True
        return super().eventFilter(watched, event)

    def _on_typed(self, text: str) -> None:
        self.labelled.set_error("")
        self.table.view.clearSelection()
        self.table.view.setCurrentIndex(self.table.model.index(-1, -1))
        self.table.search(text)

    def _on_told(self) -> None:
        chosen = self.table.chosen
        if chosen is not None:
            self.taken.emit(chosen.aid_id)
            return
        typed = self.field.text()
        first = self.table.model.record_at(0) if typed.strip() else None
        self.scanned.emit(typed, first.aid_id if first is not None else None)
