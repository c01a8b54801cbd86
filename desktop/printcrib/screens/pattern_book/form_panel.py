"""A record to fill in: what was typed before comes back, and stands over what others changed meanwhile."""

from collections.abc import Mapping
from typing import Any, Generic, TypeVar

from PySide6.QtWidgets import QHBoxLayout, QWidget

from printcrib.core.records import Record
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.drafts import changes_between, with_changes

R = TypeVar("R", bound=Record)


class FormPanel(AskPanel, Generic[R]):
    """A form over one record; a subclass shows a record in its controls and reads it back.

    Attributes:
        base: the record that is filled in, as it was read.
    """

    def __init__(self, title: str, base: R, begun: Mapping[str, Any], width: int) -> None:
        super().__init__(title, confirm="Keep it", width=width, stays=True)
        self.base = base
        self._begun = begun
        self.anew_button = Button("Begin anew")
        self._begun_row = QWidget()
        row = QHBoxLayout(self._begun_row)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(Words("Begun before and not kept; it is still here.", tone="second", wrap=True), 1)
        row.addWidget(self.anew_button)
        self.body.addWidget(self._begun_row)
        self._begun_row.setVisible(bool(begun))
        self.anew_button.clicked.connect(lambda: self.begin_anew())

    def filled(self) -> R:
        """The record as filled in now."""
        raise NotImplementedError

    def show_record(self, record: R) -> None:
        """Put a record into the controls."""
        raise NotImplementedError

    def show_begun(self) -> None:
        """The record, with what was typed before and not kept laid over it."""
        self.show_record(with_changes(self.base, self._begun))

    def begin_anew(self) -> None:
        """Forget what was typed before."""
        self.show_record(self.base)
        self._begun_row.hide()
        self.focus_first()

    def rebase(self, fresh: R) -> None:
        """Somebody else changed the record: their values, with what was typed here laid over them."""
        changes = changes_between(self.base, self.filled())
        self.base = fresh
        self.show_record(with_changes(fresh, changes))
