"""Picking one of many: a list over the page that narrows as one types."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import TextField
from printcrib.screens.parts.record_table import ROW_PX, RecordTable
from printcrib.screens.parts.records import Cell, Column, RecordModel

_SEARCH_FROM = 8
_ROWS_SEEN = 6
_ROWS_UNDER_SEARCH = 4
"""Rows a list keeps at least, so that in a low window the list scrolls and not the sheet around it."""


@dataclass(frozen=True)
class Pick:
    """One thing that can be picked.

    Attributes:
        id: told when picked. words: first line. second: second line. chip: a spool's colour.
    """

    id: str
    words: str
    second: str = ""
    chip: str = ""


class PickPanel(AskPanel):
    """A list over the page: type to narrow it, Enter or the verb picks.

    Args:
        title: what is picked. picks: the choices. confirm: the verb. chosen: id chosen at first.

    Signals:
        picked(str): id of what was picked.
    """

    picked = Signal(str)

    def __init__(
        self,
        title: str,
        picks: Sequence[Pick],
        *,
        confirm: str = "Take this one",
        sentence: str = "",
        chosen: str = "",
        empty: str = "Nothing to pick.",
    ) -> None:
        super().__init__(title, confirm=confirm, sentence=sentence, width=760)
        self.search_field = TextField(says="type to find", example="Type to find")
        model: RecordModel[Pick] = RecordModel(
            [Column("", 0, lambda p: Cell(p.words, p.second, strong=True, chip=p.chip))],
            key=lambda p: p.id,
            search_text=lambda p: f"{p.words} {p.second}",
        )
        self.table: RecordTable[Pick] = RecordTable(model, says=title, row_px=ROW_PX, empty=empty)
        self.table.view.horizontalHeader().hide()
        self.table.set_records(picks)
        seen = _ROWS_UNDER_SEARCH if len(picks) > _SEARCH_FROM else _ROWS_SEEN
        self.table.setMinimumHeight(min(seen, max(2, len(picks))) * ROW_PX + 4)
        self.body.addWidget(self.search_field)
        if len(picks) <= _SEARCH_FROM:
            self.search_field.hide()
            self.table.setMaximumHeight(max(2, len(picks)) * ROW_PX + 4)
            self.card.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.body.addWidget(self.table, 1)
        self.search_field.textChanged.connect(self._on_typed)
        self.search_field.installEventFilter(self)
        self.table.chosen_changed.connect(lambda _pick: self._on_chosen())
        self.table.opened.connect(lambda _pick: self.confirm_button.click())
        self.confirmed.connect(self._on_confirmed_pick)
        self.table.choose(chosen)
        self._on_chosen()

    def focus_first(self) -> None:
        first = self.table if self.search_field.isHidden() else self.search_field
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if watched is self.search_field and isinstance(event, QKeyEvent):
            down = event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Down
            if down and self.table.model.rowCount():
                self.table.view.setFocus(Qt.FocusReason.TabFocusReason)
                return True
        return super().eventFilter(watched, event)

    def _on_typed(self, text: str) -> None:
        self.table.search(text)
        if self.table.model.rowCount() and self.table.chosen is None:
            self.table.view.selectRow(0)
        self._on_chosen()

    def _on_chosen(self) -> None:
        self.confirm_button.setEnabled(self.table.chosen is not None)

    def _on_confirmed_pick(self) -> None:
        pick = self.table.chosen
        if pick is not None:
            self.picked.emit(pick.id)


class PickField(QWidget):
    """A button that says what is picked; a press opens the list.

    Args:
        says: what is picked ("machine"). picks: the choices. chosen: id at first.
        nothing: words while nothing is picked. confirm: verb on the list.

    Signals:
        picked_changed(str): by a person.
    """

    picked_changed = Signal(str)

    def __init__(
        self,
        *,
        says: str,
        picks: Sequence[Pick] = (),
        chosen: str = "",
        nothing: str = "Choose",
        confirm: str = "Take this one",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._says, self._nothing, self._confirm = says, nothing, confirm
        self._picks: dict[str, Pick] = {}
        self._chosen = ""
        self.setAccessibleName(says)
        self.button = Button(nothing, icon="down")
        self.button.clicked.connect(self.open_list)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.button)
        self.setFocusProxy(self.button)
        self.set_picks(picks, chosen)

    @property
    def chosen(self) -> str:
        """Id of what is picked, "" for nothing."""
        return self._chosen

    def set_picks(self, picks: Sequence[Pick], chosen: str | None = None) -> None:
        """Offer other choices; what is picked stays when it is among them."""
        self._picks = {pick.id: pick for pick in picks}
        self.set_chosen(self._chosen if chosen is None else chosen)

    def set_chosen(self, chosen: str) -> None:
        """Pick without telling anybody."""
        self._chosen = chosen if chosen in self._picks else ""
        words = self._picks[self._chosen].words if self._chosen else self._nothing
        self.button.set_words(words, f"{self._says}: {words}")

    def open_list(self) -> None:
        """Let somebody pick."""
        title = self._says[:1].upper() + self._says[1:]
        panel = PickPanel(title, list(self._picks.values()), confirm=self._confirm, chosen=self._chosen)
        panel.picked.connect(self._on_picked)
        panel.open_once(self)

    def _on_picked(self, chosen: str) -> None:
        self.set_chosen(chosen)
        self.picked_changed.emit(chosen)
