"""Numbers of the set-up."""

from decimal import Decimal

from PySide6.QtCore import Signal

from printcrib.screens.parts import lettering
from printcrib.screens.parts.figure_field import FigureButton


class WholeNumber(FigureButton):
    """A whole number with its unit, on a plain button.

    Signals:
        number_changed(int): by a person.
    """

    number_changed = Signal(int)

    def __init__(self, unit: str, *, says: str) -> None:
        super().__init__(says=says, unit=unit, icon=None)
        self.set_points(lettering.CELL_PT)
        self.setMinimumWidth(116)
        self.figure_changed.connect(lambda figure: self.number_changed.emit(int(figure)))

    def set_number(self, number: int) -> None:
        """Show a number without telling anybody."""
        self.set_figure(Decimal(number))
