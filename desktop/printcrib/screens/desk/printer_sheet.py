"""The sheet below the step card: a hairline row for every printer, scrolling where there are many."""

from collections.abc import Sequence

from PySide6.QtCore import Signal

from printcrib.screens.desk.printer_row import Headings, PrinterRow
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_desk import DeskPrinter

ROW_SHARE = 1000
"""Of the height, against 1 for the room below the rows."""


class PrinterSheet(Card):
    """All printers.

    Signals:
        printer_pressed(int): key of the printer whose row was pressed.
    """

    printer_pressed = Signal(int)

    def __init__(self) -> None:
        super().__init__(padding=1, spacing=0)
        self.headings = Headings()
        self.rows: list[PrinterRow] = []
        self._wide = False
        self._shown: tuple[DeskPrinter, ...] = ()
        self._empty = Words("No printers yet. Enter them in Shop settings.", tone="second", wrap=True)
        self._empty.setContentsMargins(18, 12, 18, 12)
        self.scroller = Scroll(spacing=8)
        self.scroller.add(self._empty)
        self._empty.hide()  # nobody knows before the books are read
        self.scroller.body.addStretch(1)  # what the rows leave, once each is as high as it may be
        self.body.setContentsMargins(1, 6, 1, 2)
        self.body.addWidget(self.headings)
        self.body.addWidget(self.scroller, 1)

    def set_printers(self, printers: Sequence[DeskPrinter]) -> None:
        """Show the printers as they are now; a row keeps its focus."""
        self._shown = tuple(printers)
        while len(self.rows) < len(self._shown):
            row = PrinterRow()
            row.clicked.connect(lambda _down=False, one=row: self._on_pressed(one))
            self.rows.append(row)
            self.scroller.body.insertWidget(len(self.rows) - 1, row, ROW_SHARE)
        for surplus in self.rows[len(self._shown) :]:
            surplus.hide()
            surplus.deleteLater()
        del self.rows[len(self._shown) :]
        self._empty.setVisible(not self._shown)
        self._fill()

    def set_wide(self, wide: bool) -> None:
        """Lay out for a wide or a narrow page."""
        self._wide = wide
        self.headings.wide = wide
        self.headings.update()
        self._fill()

    def _fill(self) -> None:
        for index, (row, printer) in enumerate(zip(self.rows, self._shown, strict=True)):
            row.set_row(printer, first=index == 0, wide=self._wide)

    def _on_pressed(self, row: PrinterRow) -> None:
        if row.row is not None:
            self.printer_pressed.emit(row.row.printer.id)
