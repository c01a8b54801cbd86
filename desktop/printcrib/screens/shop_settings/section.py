"""A section of Shop settings: rows, what can be done with the chosen one, and its main action."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Generic, Protocol, TypeVar

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, Scroll, emptied
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.records import RecordModel
from printcrib.screens.parts.words import Words
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.services.look_at_settings import SettingsPage

T = TypeVar("T")


class Asker(Protocol):
    """Who stands questions over the page and keeps what was typed and not kept."""

    def ask(self, panel: Any) -> None:
        """Stand a question over the page."""
        ...

    def ask_record(self, key: str, make: Callable[[Mapping[str, Any]], RecordPanel]) -> None:
        """Stand a record to fill in over the page.

        Args:
            key: tells half-filled records apart. make: the panel, with what was typed before.
        """
        ...


class Section(QWidget):
    """One section.

    Attributes:
        id: short name. words: what the list says.
        main_words, main_icon: of the page's main button while this section is open.
    """

    id = ""
    words = ""
    main_words = ""
    main_icon = "plus"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__()
        self.presenter, self.asker = presenter, asker
        self.page: SettingsPage | None = None
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(12)

    def show_settings(self, page: SettingsPage) -> None:
        """Show how the shop stands."""
        self.page = page

    def summary(self) -> str:
        """A few words for the list, where there is room."""
        return ""

    def sentence(self) -> str:
        """The sentence under the page's title."""
        return ""

    def do_main(self) -> None:
        """The main action."""

    def may_main(self) -> bool:
        """Whether the main action can be done now."""
        return self.page is not None

    def set_wide(self, wide: bool) -> None:
        """Lay out anew."""

    @property
    def chosen_key(self) -> str:
        """What is chosen, over a restart."""
        return ""

    def choose(self, key: str) -> None:
        """Choose it again."""


class ListSection(Section, Generic[T]):
    """Rows in a table, acts below them, and the facts of the chosen row beside them where there are any.

    Args:
        acts: id, words, icon and call of each button below the rows.
        facts: whether the chosen row's facts stand beside the rows.
    """

    def __init__(
        self,
        presenter: SettingsPresenter,
        asker: Asker,
        model: RecordModel[T],
        acts: Sequence[tuple[str, str, str, Callable[[T], None]]],
        *,
        empty: str,
        facts: bool = False,
    ) -> None:
        super().__init__(presenter, asker)
        self._wanted = ""
        self.table: RecordTable[T] = RecordTable(model, says=self.words, empty=empty)
        self.facts = Scroll(spacing=0)
        self.name = Words("", points=20, weight="strong", elide=True)
        self.card = Card(padding=16, spacing=8)
        self.card.add(self.name, self.facts)
        if facts:
            self._row = row_of(self.table, self.card, spacing=16, stretch=(1, 1))
            self.column.addLayout(self._row, 1)
        else:
            self.card.setParent(self)
            self.card.hide()
            self.column.addWidget(self.table, 1)
        self.acts: dict[str, Button] = {}
        self._lay_acts(acts)
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.table.opened.connect(lambda row: acts[0][3](row) if acts else self.do_main())

    def set_rows(self, rows: Sequence[T]) -> None:
        """Show rows; the chosen one stays, else the first is chosen."""
        self.table.set_records(rows)
        wanted, self._wanted = self._wanted, ""
        keys = {str(self.table.model.key(row)): self.table.model.key(row) for row in rows}
        if wanted in keys:
            self.table.choose(keys[wanted])
        elif self.table.chosen is None and rows:
            self.table.choose(self.table.model.key(rows[0]))
        self._on_chosen()

    def facts_of(self, row: T) -> tuple[str, Sequence[tuple[str, str]]]:
        """Name of a row, and its facts."""
        return "", ()

    @property
    def chosen_key(self) -> str:
        """What is chosen, over a restart."""
        row = self.table.chosen
        return self._wanted or ("" if row is None else str(self.table.model.key(row)))

    def choose(self, key: str) -> None:
        """Choose it once the rows are there."""
        self._wanted = key
        if self.page is not None:
            self.show_settings(self.page)

    def _lay_acts(self, acts: Sequence[tuple[str, str, str, Callable[[T], None]]]) -> None:
        line = QHBoxLayout()
        line.setSpacing(12)
        for act_id, words, icon, call in acts:
            button = Button(words, icon=icon)
            button.clicked.connect(lambda _down=False, one=call: self._do(one))
            self.acts[act_id] = button
            line.addWidget(button)
        line.addStretch(1)
        if acts:
            self.column.addLayout(line)

    def _do(self, call: Callable[[T], None]) -> None:
        row = self.table.chosen
        if row is not None:
            call(row)

    def _on_chosen(self) -> None:
        row = self.table.chosen
        for button in self.acts.values():
            button.setEnabled(row is not None)
        name, facts = self.facts_of(row) if row is not None else ("", ())
        self.name.setText(name)
        emptied(self.facts.body)
        for label, value in facts:
            self.facts.add(FactRow(label, value))
        self.facts.body.addStretch(1)
