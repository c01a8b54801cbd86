"""Which inserts go into one copy, and how many of each."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.materials import Insert
from printcrib.screens.parts.cards import emptied
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words

Inserts = tuple[tuple[int, int], ...]


class InsertsField(QWidget):
    """A row for each insert with its number; 0 takes it out again. One more is picked from what is kept."""

    def __init__(self, kept: Sequence[Insert]) -> None:
        super().__init__()
        self.setAccessibleName("inserts of one copy")
        self._kept = {insert.id: insert.name for insert in kept}
        self._inserts: dict[int, int] = {}
        self.steppers: dict[int, Stepper] = {}
        self._rows = QVBoxLayout()
        self._rows.setSpacing(8)
        self.add_field = PickField(says="an insert", nothing="Add an insert", confirm="Add it")
        self._none_kept = Words(
            "None are kept yet; the Spool rack keeps magnets, bushings and screws.", tone="second", wrap=True
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.add_field)
        column.addLayout(self._rows)
        column.addWidget(self._none_kept)
        column.addStretch(1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.add_field.picked_changed.connect(self._on_added)
        self.set_inserts(())

    @property
    def inserts(self) -> Inserts:
        """(insert key, how many) for one copy."""
        return tuple((key, count) for key, count in self._inserts.items() if count)

    def set_inserts(self, inserts: Inserts) -> None:
        """Show these."""
        self._inserts = dict(inserts)
        self._lay()

    def _lay(self) -> None:
        emptied(self._rows)
        self.steppers = {}
        for key, count in self._inserts.items():
            name = self._kept.get(key, "an insert no longer kept")
            stepper = Stepper(count, least=0, most=50, step=1, says=name)
            stepper.value_changed.connect(lambda number, one=key: self._inserts.update({one: number}))
            stepper.setFixedWidth(320)
            self.steppers[key] = stepper
            row = QHBoxLayout()
            row.setSpacing(12)
            row.addWidget(Words(name, weight="medium", elide=True), 1)
            row.addWidget(stepper)
            self._rows.addLayout(row)
        self._order()
        left = [Pick(str(key), name) for key, name in self._kept.items() if key not in self._inserts]
        self.add_field.set_picks(left, "")
        self.add_field.setVisible(bool(left))
        self._none_kept.setVisible(not self._kept and not self._inserts)

    def _order(self) -> None:
        """New rows would come last on the sheet; Tab meets them where they stand."""
        stops: list[QWidget] = [self.add_field.button]
        for stepper in self.steppers.values():
            stops += [stepper.minus_button, stepper.number_button, stepper.plus_button]
        for before, after in pairwise(stops):
            QWidget.setTabOrder(before, after)

    def _on_added(self, key: str) -> None:
        self._inserts[int(key)] = 1
        self._lay()
        self.steppers[int(key)].setFocus()
