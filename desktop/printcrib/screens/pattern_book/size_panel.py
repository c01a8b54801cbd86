"""A size to fill in: a new one, one to change, or one printed before that is taken into the book."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Signal

from printcrib.core.patterns import Size
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.file_field import FileField
from printcrib.screens.pattern_book.form_panel import FormPanel
from printcrib.screens.pattern_book.given_file import file_of
from printcrib.services.look_at_one_offs import OutsideLine

NEW, BEFORE = "new", "before"


class SizePanel(FormPanel[Size]):
    """A new size with its model, or a size to change; only its name is needed.

    Signals:
        told(object, object, object): the Size as it was, as it is now, and its GivenFile or None.
    """

    told = Signal(object, object, object)

    def __init__(self, size: Size, begun: Mapping[str, Any], outside: Sequence[OutsideLine] = ()) -> None:
        title = f"Change size {size.name}" if size.id else "A new size"
        super().__init__(title, size, begun, width=940)
        self._outside = {str(line.size.id): line for line in outside}
        self.way = ChoiceRow(
            [(NEW, "A new model"), (BEFORE, "Printed before, not in the book")],
            chosen=NEW,
            says="where the size comes from",
        )
        picks = [Pick(key, line.name, line.second) for key, line in self._outside.items()]
        self.before = PickField(says="which one", picks=picks, confirm="Take it into the book")
        self.before_words = Words("", tone="second", wrap=True)
        self.name = TextField(says="Name", example="32 x 60")
        self.spares = Stepper(0, least=0, most=50, step=1, says="Spares at least")
        self.place = TextField(says="Place on the shelf", example="drawer 4")
        self.limit = Stepper(0, least=0, most=1_000_000, step=10, says="Limit of its count", shown=_limit)
        self.file = FileField(may_be_none=True)
        self.name_field = Field("Name", self.name)
        self.before_field = Field("Which one", self.before)
        self._lay()
        self.show_begun()
        self.file.set_given(file_of(begun))
        self.way.chosen_changed.connect(lambda _way: self._show_way())
        self.before.picked_changed.connect(self._on_before)
        self.confirmed.connect(self._on_told)
        self._show_way()

    def filled(self) -> Size:
        """The size as filled in now."""
        return replace(
            self.base,
            name=self.name.text().strip(),
            minimum_spares=self.spares.value,
            shelf_place=self.place.text().strip(),
            count_limit=self.limit.value or None,
        )

    def show_record(self, size: Size) -> None:
        """Put a size into the controls."""
        self.name.setText(size.name)
        self.spares.set_value(size.minimum_spares)
        self.place.setText(size.shelf_place)
        self.limit.set_value(size.count_limit or 0)

    def begin_anew(self) -> None:
        """Forget what was typed before, and the file chosen."""
        self.file.set_given(None)
        super().begin_anew()

    def begin_with(self, path: str) -> None:
        """A file was dropped."""
        self.way.set_chosen(NEW)
        self._show_way()
        self.file.take(path)

    def _show_way(self) -> None:
        before = self.way.chosen == BEFORE
        self.file.setVisible(not before and not self.base.id)
        self.before_field.setVisible(before)
        self.before_words.setVisible(before and bool(self.before_words.text()))

    def _on_before(self, key: str) -> None:
        line = self._outside[key]
        self.before_words.setText(f"{line.second}. Its copies, counts and releases stay with it.")
        self.before_words.show()
        self.before_field.set_error("")
        if not self.name.text().strip():
            self.name.setText(line.suggested)

    def _on_told(self) -> None:
        taken = self._outside.get(self.before.chosen) if self.way.chosen == BEFORE else None
        self.before_field.set_error("Choose one first." if self._no_before(taken) else "")
        self.name_field.set_error("" if self.name.text().strip() else "Type a name.")
        if self._no_before(taken):
            self.before.setFocus()
        elif not self.name.text().strip():
            self.name.setFocus()
        elif taken is not None:
            size = self.filled()
            kept = replace(
                taken.size,
                pattern_id=size.pattern_id,
                name=size.name,
                minimum_spares=size.minimum_spares,
                shelf_place=size.shelf_place,
                count_limit=size.count_limit,
                active=True,
            )
            self.told.emit(self.base, kept, None)
        elif self.base.id or not self.file.refused:
            self.told.emit(self.base, self.filled(), None if self.base.id else self.file.given)
        else:
            self.file.button.setFocus()

    def _no_before(self, taken: OutsideLine | None) -> bool:
        return self.way.chosen == BEFORE and taken is None

    def _lay(self) -> None:
        self.body.addWidget(self.way)
        self.body.addWidget(self.before_field)
        self.body.addWidget(self.before_words)
        self.body.addLayout(row_of(self.name_field, Field("Spares at least", self.spares), stretch=(1, 1)))
        limit = Field("Check it at a count of", self.limit)
        self.body.addLayout(row_of(Field("Place on the shelf", self.place), limit, stretch=(1, 1)))
        self.body.addWidget(self.file)
        if self.base.id or not self._outside:
            self.way.hide()


def _limit(count: int) -> str:
    return f"{count:,}" if count else "the pattern's life"
