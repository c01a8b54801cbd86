"""A record to fill in over the page: nothing typed is lost, not by a refusal, nor by somebody else's edit."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.errors import StaleEdit
from printcrib.core.records import Record
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.shop_settings.entries import Entry

R = TypeVar("R", bound=Record)
Row = Sequence[Entry]
Values = dict[str, Any]


class RecordPanel(AskPanel):
    """The values of one record, each with its limits.

    Args:
        record: as it was read. rows: entries beside each other.
        spread: the record's values by the entries' names; by default its own fields.
        gather: the record with other values; by default its own fields.
        draft: values a person had typed before and not kept.

    Signals:
        told(object): the record as filled in.
    """

    told = Signal(object)

    def __init__(
        self,
        title: str,
        record: Record,
        rows: Sequence[Row],
        *,
        confirm: str = "Keep it",
        sentence: str = "",
        width: int = 980,
        spread: Callable[[Any], Values] | None = None,
        gather: Callable[[Any, Values], Any] | None = None,
        draft: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(title, confirm=confirm, sentence=sentence, width=width, stays=True)
        self._record = record
        self._spread, self._gather = spread, gather or (lambda base, values: replace(base, **values))
        self.entries = {entry.name: entry for row in rows for entry in row}
        for row in rows:
            line = QHBoxLayout()
            line.setSpacing(16)
            for entry in row:
                line.addWidget(entry.field, 1, Qt.AlignmentFlag.AlignTop)
            self.body.addLayout(line)
        self.body.addStretch(1)
        self._seen = self._values_of(record)
        for name, value in self._seen.items():
            self.entries[name].set_value(value)
        for name, value in (draft or {}).items():
            if name in self.entries:
                self.entries[name].set_value(value)
        self.confirmed.connect(self._on_told)

    def filled(self) -> Any:
        """The record as filled in now."""
        return self._gather(self._record, {name: entry.value() for name, entry in self.entries.items()})

    def touched(self) -> Values:
        """What a person changed, by name."""
        now = {name: entry.value() for name, entry in self.entries.items()}
        return {name: value for name, value in now.items() if value != self._seen[name]}

    def take_fresh(self, error: StaleEdit, fresh: Record | None) -> None:
        """Somebody else was first: take over what they changed, keep what was typed here, say both."""
        self.set_error(str(error))
        if fresh is None:
            return
        mine = self.touched()
        before, self._seen, self._record = self._seen, self._values_of(fresh), fresh
        for name, value in self._seen.items():
            entry = self.entries[name]
            entry.say_limits()
            if name not in mine:
                entry.set_value(value)
            if value != before[name]:
                entry.say_theirs(error.who, value)

    def _values_of(self, record: Record) -> Values:
        if self._spread is not None:
            return self._spread(record)
        return {name: getattr(record, name) for name in self.entries}

    def _on_told(self) -> None:
        wrong = None
        for entry in self.entries.values():
            fault = entry.fault()
            entry.field.set_error(fault)
            wrong = wrong or (entry if fault else None)
        if wrong is not None:
            wrong.field.control.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.told.emit(self.filled())
