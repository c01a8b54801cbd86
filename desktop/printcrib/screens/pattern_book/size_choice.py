"""Which size of a pattern is shown: a few stand side by side, many are picked from a list."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.services.look_at_patterns import SizeLine

MOST_BESIDE, LONGEST_BESIDE = 4, 10


class SizeChoice(QWidget):
    """The sizes of one pattern.

    Signals:
        size_changed(str): key of the size a person chose.
    """

    size_changed = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._shown: tuple[tuple[str, str], ...] = ()
        self.row = ChoiceRow((), columns=2, says="Size")
        self.field = PickField(says="Size", nothing="No size yet", confirm="Show this size")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.row)
        column.addWidget(self.field)
        self.row.chosen_changed.connect(self.size_changed)
        self.field.picked_changed.connect(self.size_changed)
        self.set_sizes((), None)

    @property
    def chosen(self) -> str:
        """Key of the size shown, "" while there is none."""
        return (self.row.chosen or "") if self._beside else self.field.chosen

    def set_sizes(self, sizes: Sequence[SizeLine], chosen: int | None) -> None:
        """Offer these, at one of them."""
        shown = tuple((str(each.size.id), each.name) for each in sizes)
        self.field.set_picks([Pick(str(each.size.id), each.name, each.extents) for each in sizes])
        if shown != self._shown:
            self._shown = shown
            self.row.set_choices(shown)
            self._order()
        self.row.set_chosen(str(chosen))
        self.field.set_chosen(str(chosen))
        self.row.setVisible(self._beside)
        self.field.setVisible(not self._beside and bool(shown))

    def _order(self) -> None:
        """New buttons would come last on the page; Tab meets them where they stand."""
        stops = [self.field.button, *self.row.buttons.values()]
        for before, after in pairwise(stops):
            QWidget.setTabOrder(before, after)

    @property
    def _beside(self) -> bool:
        few = 0 < len(self._shown) <= MOST_BESIDE
        return few and all(len(name) <= LONGEST_BESIDE for _, name in self._shown)
