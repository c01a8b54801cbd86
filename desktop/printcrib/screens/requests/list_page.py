"""The list of requests with the chosen one beside it."""

from collections.abc import Mapping

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.shapes import Mesh
from printcrib.screens.parts import lettering
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Hairline, Scroll, emptied
from printcrib.screens.parts.fields import ChoiceRow, TextField
from printcrib.screens.parts.marks import IconMark
from printcrib.screens.parts.model_view import ModelView
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.model import copies_words, request_columns, request_model
from printcrib.screens.requests.presenter import ListPresenter, Quick
from printcrib.screens.shell.standing import Standing
from printcrib.services.look_at_requests import RequestRow, Which

WHICH = tuple((each.value, each.value.capitalize()) for each in Which)
SEARCH_AFTER_MS = 200
LOOK_AFTER_MS = 80


class RequestListPage(PageFrame):
    """What was asked, by whom, by when.

    Signals:
        raise_pressed(): to the form. request_opened(int): to one request.
    """

    raise_pressed = Signal()
    request_opened = Signal(int)

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Requests",
            main=Action(
                "raise", "Raise a request", lambda: self.raise_pressed.emit(), icon="plus", shortcut="Ctrl+N"
            ),
            unseen=[
                Action("find", "Find", self._on_find, shortcut="Ctrl+F"),
                Action("open", "Open it", self._on_open, icon="forward"),
                Action("again", "Same again", lambda: self.presenter.same_again()),
            ],
        )
        self.which = ChoiceRow(WHICH, chosen=Which.OPEN.value, says="which requests")
        self.search = TextField(says="find a request", example="Find: number, words, job")
        self.table: RecordTable[RequestRow] = RecordTable(request_model(), says="requests")
        self.more_button = Button("Show more", icon="down")
        self._typing = QTimer(self, singleShot=True, interval=SEARCH_AFTER_MS)
        self._looking = QTimer(self, singleShot=True, interval=LOOK_AFTER_MS)
        self.card = ChosenCard(self)
        self.presenter = ListPresenter(standing, self)
        self._lay_out()
        self._connect()
        self.show_chosen(None, Quick())

    def arrived(self) -> None:
        self.presenter.load()

    def kept_state(self) -> Mapping[str, str]:
        chosen = self.presenter.chosen
        return {
            "which": self.presenter.which.value,
            "text": self.presenter.text,
            "chosen": str(chosen.id) if chosen else "",
        }

    def restore_state(self, state: Mapping[str, str]) -> None:
        which = state.get("which", "")
        if which in {each.value for each in Which}:
            self.which.set_chosen(which)
            self.presenter.which = Which(which)
        self.search.setText(state.get("text", ""))
        self.presenter.text = state.get("text", "")
        self._typing.stop()
        if state.get("chosen", "").isdigit():
            self.presenter.choose(int(state["chosen"]))

    # The presenter's view

    def show_rows(self, rows: tuple[RequestRow, ...], summary: str, empty: str, more: int) -> None:
        self.set_subtitle(summary)
        self.table.set_empty_words(empty)
        self.table.set_records(rows)
        self.more_button.setVisible(more > 0)
        self.more_button.set_words(f"Show more of the {more} left")
        if rows and self.table.chosen is None:
            self.table.view.selectRow(0)
        self.presenter.chose(self.table.chosen)

    def show_chosen(self, row: RequestRow | None, quick: Quick) -> None:
        self.card.show_row(row, quick)
        self.refresh_actions()
        if self.wide:
            self._looking.start()

    def choose(self, request_id: int) -> None:
        if self.table.choose(request_id):
            self.presenter.chose(self.table.chosen)

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        self.card.show_mesh(mesh, waiting)

    def open_request(self, request_id: int) -> None:
        self.request_opened.emit(request_id)

    def _lay_out(self) -> None:
        filters = QHBoxLayout()
        filters.setSpacing(24)
        filters.addWidget(self.which, 3)
        filters.addWidget(self.search, 4)
        left = QVBoxLayout()
        left.setSpacing(12)
        left.addLayout(filters)
        left.addWidget(self.table, 1)
        left.addWidget(self.more_button)
        self._row = QHBoxLayout()
        self._row.setSpacing(14)
        self._row.addLayout(left, 1)
        self._row.addWidget(self.card)
        self.body.addLayout(self._row, 1)
        self.more_button.hide()
        self._arrange(self.wide)

    def _arrange(self, wide: bool) -> None:
        self.card.setFixedWidth(440 if wide else 330)
        self.card.picture.setVisible(wide)
        self.table.set_columns(request_columns(wide))

    def _connect(self) -> None:
        self.width_changed.connect(self._arrange)
        self.which.chosen_changed.connect(self.presenter.show_which)
        self.search.textChanged.connect(lambda _text: self._typing.start())
        self._looking.timeout.connect(self.presenter.show_picture)
        self._typing.timeout.connect(lambda: self.presenter.search(self.search.text()))
        self.table.chosen_changed.connect(self.presenter.chose)
        self.table.opened.connect(lambda row: self.request_opened.emit(row.id))
        self.more_button.clicked.connect(lambda: self.presenter.show_more())
        self.card.quick_pressed.connect(self.presenter.do)

    def _on_find(self) -> None:
        self.search.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.search.selectAll()

    def _on_open(self) -> None:
        chosen = self.presenter.chosen
        if chosen is not None:
            self.request_opened.emit(chosen.id)


class ChosenCard(Card):
    """The chosen request in a few lines, with the next press.

    Signals:
        quick_pressed(str): the act offered.
    """

    quick_pressed = Signal(str)

    def __init__(self, page: PageFrame) -> None:
        super().__init__(padding=0)
        self._act = ""
        self._inside = Scroll(margins=(20, 16, 20, 8), spacing=8)
        self.body.addWidget(self._inside, 1)
        self._head = QVBoxLayout()
        self._head.setSpacing(6)
        self._inside.body.addLayout(self._head)
        self.picture = ModelView()
        self.picture.setFixedHeight(280)
        self.picture.clear("")
        self.picture.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._inside.body.addWidget(self.picture)
        self.quick_button = Button("")
        self.open_button = page.actions_table.button("open")
        self.again_button = page.actions_table.button("again")
        self._inside.body.addStretch(1)
        foot = QVBoxLayout()
        foot.setContentsMargins(16, 0, 16, 16)
        foot.setSpacing(12)
        for button in (self.quick_button, self.open_button, self.again_button):
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            foot.addWidget(button)
        self.body.addLayout(foot)
        self.quick_button.clicked.connect(lambda: self.quick_pressed.emit(self._act))

    def show_row(self, row: RequestRow | None, quick: Quick) -> None:
        """Show another one."""
        emptied(self._head)
        self._act = quick.act
        self.quick_button.setVisible(bool(quick.act))
        self.quick_button.set_words(quick.words)
        for button in (self.open_button, self.again_button):
            button.setVisible(row is not None)
        if row is None:
            self._head.addWidget(Words("Choose a request to see it here.", tone="second", wrap=True))
            return
        self._put_head(row)
        made = ", ".join(words for words in (row.material or "no material yet", row.how_fine) if words)
        lines = (copies_words(row), row.purpose, made, f"job {row.job}" if row.job else "")
        self._head.addWidget(Hairline())
        for line in lines:
            if line:
                self._head.addWidget(Words(line, wrap=True))

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        """The model's picture."""
        if mesh is None:
            self.picture.clear(waiting)
            return
        heights = mesh.vertices[:, 2]
        self.picture.set_model(mesh.vertices, mesh.faces, f"{heights.max() - heights.min():.0f} mm")

    def _put_head(self, row: RequestRow) -> None:
        self._head.addWidget(Words(row.what, points=lettering.CARD_PT, weight="strong", wrap=True))
        asker = ", ".join(words for words in (row.tag, row.asker, row.machine) if words)
        self._head.addWidget(Words(asker, tone="second", wrap=True))
        self._head.addWidget(Words(row.state, weight="strong", wrap=True))
        if row.needed_words:
            self._head.addWidget(Words(f"needed by {row.needed_words}", wrap=True))
        if row.timing:
            self._head.addWidget(mark_line("clock", row.timing))
        elif row.ready_words:
            self._head.addWidget(Words(f"likely ready {row.ready_words}", tone="second", wrap=True))
        for held in [words for words in row.holds.split(", ") if words]:
            self._head.addWidget(mark_line("caution", held))


def mark_line(icon: str, words: str, tone: str = "signal") -> QWidget:
    """A word in signal with its icon before it."""
    line = QWidget()
    row = QHBoxLayout(line)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(10)
    row.addWidget(IconMark(icon, tone))  # type: ignore[arg-type]
    said = Words(words, tone=tone, weight="medium", wrap=True)  # type: ignore[arg-type]
    row.addWidget(said, 1)
    return line
