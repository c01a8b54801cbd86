"""The place "Aids in service": every aid with its count and life, and the one that is counted now."""

from collections.abc import Callable, Mapping
from datetime import datetime

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.errors import ShopError
from printcrib.screens.aids.asking import Asking
from printcrib.screens.aids.card import AidCard
from printcrib.screens.aids.model import aid_columns, aid_model
from printcrib.screens.aids.presenter import AidsPresenter, Gone, Seen
from printcrib.screens.aids.ready_card import ReadyCard
from printcrib.screens.aids.words import questions_words
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.fields import TextField
from printcrib.screens.parts.page import PageFrame, column_of
from printcrib.screens.parts.record_table import BAR_ROW_PX, RecordTable
from printcrib.screens.shell.standing import Standing
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import CounterLower
from printcrib.services.look_at_aid import AidPage
from printcrib.services.look_at_aids import AidRow
from printcrib.services.look_at_copies import ReadyCopy
from printcrib.services.look_at_counters import MachineCounter
from printcrib.services.look_at_hand_out import HandOutChoices

CARD_NARROW, CARD_WIDE = 352, 440
FIND_FROM = 12
"""So many aids need a field to find one by."""
SCANNERS_BEGIN = "TH"
"""What a scanner types first: a tag, or the address of a count page."""


class AidsPage(PageFrame):
    """The list on the left with the copies that wait below it; the chosen aid on the right."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Aids in service",
            main=Action("scan", "Scan a tag", lambda: self._ask_tag(), "scan", "Ctrl+F"),
            others=[
                Action("questions", "To answer", lambda: self.presenter.ask_questions(), None, "Ctrl+U"),
                Action("counter", "Part counter", lambda: self._ask_counter(), None, "Ctrl+R"),
            ],
            unseen=[
                Action("more", "More", lambda: self._on_asked("more"), None, "Ctrl+M", self._has_chosen),
                Action("number", "Number", lambda: self._on_asked("number"), None, "Ctrl+N", self._counts),
            ],
        )
        self._here = standing
        self._filling = False
        self.shown: AidPage | None = None
        self._rows: tuple[AidRow, ...] = ()
        self._ready: tuple[ReadyCopy, ...] = ()
        self._focus_next: int | None = None
        self._gone: Gone | None = None
        self.presenter = AidsPresenter(standing, self)
        self.asking = Asking(self, standing, self.presenter)
        self.find_field = TextField(says="find an aid", example="Find by tag, name or machine")
        self.table: RecordTable[AidRow] = RecordTable(
            aid_model(self.wide),
            says="aids in service",
            row_px=BAR_ROW_PX,
            empty="No aid in service yet. A good copy for use becomes one as soon as it is finished.",
        )
        self.ready = ReadyCard()
        self.card = AidCard(self._wall_time())
        self._lay_out()
        self._connect()
        self._on_width(self.wide)
        self.other_buttons["questions"].hide()

    def arrived(self) -> None:
        """The place came to the front."""
        self.presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the place again when counts, aids or copies changed."""
        if self.isVisible() and self.presenter.concerns(things):
            self.presenter.load()

    def go_to(self, key: int) -> None:
        """Choose one aid."""
        self.find_field.setText("")
        self.presenter.go_to(key)

    def kept_state(self) -> Mapping[str, str]:
        """Which aid was chosen, and what was looked for."""
        return {"chosen": str(self.presenter.chosen or ""), "find": self.find_field.text()}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        self.find_field.setText(state.get("find", ""))
        if state.get("chosen", "").isdigit():
            self.presenter.chosen = int(state["chosen"])

    def show_seen(self, seen: Seen, chosen: int | None) -> None:
        """The list, the copies that wait, and how many questions there are."""
        self.set_subtitle(seen.page.head)
        self._show_questions(seen.page.questions)
        self._rows, self._ready = seen.page.rows, seen.ready
        self._filling = True
        self.table.set_records(seen.page.rows)
        self._show_find()
        if chosen is None or not self.table.choose(chosen):
            self.table.view.clearSelection()
            self.table.view.setCurrentIndex(self.table.model.index(-1, -1))
        self._filling = False
        self.ready.set_copies(seen.ready, wide=self.wide)

    def show_aid(self, page: AidPage | None, gone: Gone | None) -> None:
        """One aid in full, or none."""
        self.shown, self._gone = page, gone
        self.card.show_aid(page, gone, wide=self.wide)
        self.refresh_actions()
        self._focus_card()

    def show_found(self, aid_id: int) -> None:
        """The scanned tag was found: it is chosen, and the next press counts."""
        self.asking.close()
        if self.table.model.row_of(aid_id) is None:
            self.find_field.setText("")
        self._focus_next = aid_id
        if not self.table.choose(aid_id):
            self.presenter.go_to(aid_id)
            return
        self.presenter.choose(aid_id)
        self._focus_card()

    def scan_refused(self, error: ShopError) -> None:
        """No aid in service has this tag."""
        self.asking.refuse(error)

    def ask_hand_out(self, choices: HandOutChoices) -> None:
        """Where an aid goes."""
        self.asking.hand_out(choices)

    def ask_counter(self, counters: tuple[MachineCounter, ...], machine_id: int | None) -> None:
        """What a part counter shows."""
        self.asking.counter(counters, machine_id)

    def ask_reset(self, error: CounterLower) -> None:
        """Was the counter reset?"""
        self.asking.reset(error)

    def ask_questions(self, questions: tuple[Question, ...]) -> None:
        """The weekly questions."""
        self.asking.questions(questions)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer."""
        self.asking.refuse(error)

    def close_question(self) -> None:
        """The question is answered."""
        self.asking.close()

    def pressed(self) -> None:
        """A press is booked."""
        self.card.book_now()

    def _lay_out(self) -> None:
        left = column_of(self.find_field, self.table, self.ready)
        left.setStretch(1, 1)
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addLayout(left, 1)
        row.addWidget(self.card)
        self.body.addLayout(row, 1)
        self.find_field.hide()
        self.ready.hide()

    def _connect(self) -> None:
        self.find_field.textChanged.connect(self.table.search)
        self.table.chosen_changed.connect(self._on_chosen)
        self.table.opened.connect(lambda _row: self.card.focus_first())
        self.card.counted.connect(self._on_counted)
        self.card.asked.connect(self._on_asked)
        self.asking.follow(self.ready.rows)
        self.ready.rows.all_wanted.connect(lambda: self.asking.ready(self._ready))
        self.width_changed.connect(self._on_width)
        for letter in SCANNERS_BEGIN:
            for keys in (letter, f"Shift+{letter}"):
                shortcut = QShortcut(QKeySequence(keys), self)
                shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.activated.connect(lambda one=letter: self._on_scanner(one))

    def _on_scanner(self, letter: str) -> None:
        if self.standing_over is None:
            self._ask_tag(letter)

    def _ask_tag(self, typed: str = "") -> None:
        self.asking.tag(self._rows, typed)

    def _ask_counter(self) -> None:
        page = self.shown
        self.presenter.ask_counter(page.aid.machine_id if page is not None else None)

    def _show_questions(self, count: int) -> None:
        button = self.other_buttons["questions"]
        button.set_words(questions_words(count))
        button.setVisible(bool(count))

    def _show_find(self) -> None:
        """Room for it is on a wide page only; "Scan a tag" finds by name too."""
        many = self.wide and len(self._rows) >= FIND_FROM
        self.find_field.setVisible(many or bool(self.find_field.text()))

    def _on_chosen(self, row: AidRow | None) -> None:
        if not self._filling:
            self.presenter.choose(row.aid_id if row is not None else None)

    def _on_counted(self, amount: int) -> None:
        if self.shown is not None:
            self.presenter.acts.count(self.shown.aid.id, amount, self.card.really_at.moment)

    def _on_asked(self, act: str) -> None:
        if act == "another_gone" and self._gone is not None:
            self.presenter.acts.print_another(self._gone.aid_id, self._gone.name)
        elif self.shown is not None:
            self.asking.about(self.shown, act, self.card.really_at.moment)

    def _focus_card(self) -> None:
        """After a scan the next press is a count: the focus goes there once the aid is shown."""
        if self.shown is not None and self.shown.aid.id == self._focus_next:
            self._focus_next = None
            self.card.focus_first()

    def _has_chosen(self) -> bool:
        return getattr(self, "shown", None) is not None

    def _counts(self) -> bool:
        return self._has_chosen() and self.card.number_button.isVisibleTo(self.card)

    def _wall_time(self) -> Callable[[], datetime]:
        return lambda: self._here.local(self._here.now())

    def _on_width(self, wide: bool) -> None:
        self.card.setFixedWidth(CARD_WIDE if wide else CARD_NARROW)
        self._filling = True
        self.table.set_columns(aid_columns(wide))
        self._filling = False
        self.card.show_aid(self.shown, self._gone, wide=wide)
        self._show_find()
        self.ready.set_copies(self._ready, wide=wide)
