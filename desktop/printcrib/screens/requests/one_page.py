"""One request over the list: model, answer, what holds it, safety, copies, and everything to do with it."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.people import Role
from printcrib.core.shapes import Mesh
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.cards import Card, Scroll
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick import Pick, PickPanel
from printcrib.screens.requests.act_panels import (
    ActPanel,
    ChangePanel,
    DecidePanel,
    FitPanel,
    QuantityPanel,
    ReasonPanel,
    SafetyPanel,
    WithdrawPanel,
)
from printcrib.screens.requests.answer_card import AnswerCard
from printcrib.screens.requests.columns import NozzleColumn
from printcrib.screens.requests.model_panel import ModelFilePanel
from printcrib.screens.requests.one_acts import WORDS
from printcrib.screens.requests.one_doing import Shown
from printcrib.screens.requests.one_presenter import OnePresenter
from printcrib.screens.requests.one_sections import (
    ActsCard,
    AskedSection,
    CopiesSection,
    HistorySection,
    HoldSection,
    ModelSection,
    PromiseSection,
    SafetySection,
)
from printcrib.screens.requests.release_panel import ReleasePanel
from printcrib.screens.shell.standing import Standing
from printcrib.services.look_at_request import RequestPage

LEFT_PX, LEFT_WIDE_PX = 412, 500


class OneRequestPage(PageFrame):
    """One request.

    Signals:
        left(): back to the list. request_wanted(int): show another one. raise_pressed(): to the form.
    """

    left = Signal()
    raise_pressed = Signal()
    request_wanted = Signal(int)

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Request",
            main=Action("main", "Accept", self._on_main, shortcut="Ctrl+Return"),
            others=[Action("back", "Back", lambda: self.left.emit(), "back", "Alt+Left")],
            unseen=[
                Action("new", "Raise a request", lambda: self.raise_pressed.emit(), shortcut="Ctrl+N"),
            ],
        )
        self._at = standing
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # so that its keys work before anything is pressed
        self._shown: Shown | None = None
        self.model, self.answer = ModelSection(), AnswerCard(roomy=True, late_below=True)
        self.asked, self.holds, self.safety = AskedSection(), HoldSection(), SafetySection()
        self.copies, self.promises, self.history = CopiesSection(), PromiseSection(), HistorySection()
        self.acts = ActsCard(lambda: standing.local(standing.now()))
        self.presenter = OnePresenter(standing, self)
        self._doing: dict[str, Callable[[], None]] = {
            "accept": self.presenter.accept,
            "raise": self.presenter.raise_again,
            "same again": self.presenter.same_again,
            "finish": self.presenter.finish_all,
            "hand out": self.presenter.hand_out_next,
            "answer safety": self._ask_safety,
            "model": self._ask_model,
            "size": self._ask_size,
            "turn": self._ask_turn,
            "release": self._ask_release,
            "decide copies": self._ask_decisions,
            "send back": self._ask_send_back,
            "change": self._ask_change,
            "quantity": self._ask_quantity,
            "hold": self._ask_hold,
            "close question": self._ask_close,
            "take back": self._ask_take_back,
            "withdraw": self._ask_withdraw,
        }
        self._lay_out()
        self._connect()

    # The presenter's view

    def show_request(self, shown: Shown) -> None:
        page, self._shown = shown.page, shown
        self.set_title(shortened(f"{page.row.tag}  {page.row.what}", 70 if self.wide else 34))
        self.set_subtitle(_sentence(page))
        self.model.show_page(page)
        self.holds.show_page(page, shown.acts)
        for part in (self.asked, self.safety, self.copies, self.promises, self.history):
            part.show_page(page)
        self.acts.show_acts(shown.acts, shown.main)
        self.answer.set_pressable(shown.desk)
        if self.main_button is not None:
            self.main_button.setVisible(bool(shown.main))
            self.main_button.set_words(WORDS.get(shown.main, ""))

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        self.model.show_mesh(mesh, waiting)

    def show_photo(self, content: bytes | None) -> None:
        self.model.show_photo(content)

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str) -> None:
        if columns:
            self.answer.set_columns(columns)
        else:
            self.answer.set_sentence(sentence)
            self.answer.set_advice("", "", may_turn=False)

    def show_advice(self, nozzle: str, lies: str) -> None:
        may_turn = self._shown is not None and "turn" in self._shown.acts
        self.answer.set_advice(nozzle, lies, may_turn=may_turn)

    def show_gone(self, sentence: str) -> None:
        self._at.messages.problem(sentence)
        self.left.emit()

    def open_request(self, request_id: int) -> None:
        self.request_wanted.emit(request_id)

    def booked(self) -> None:
        self.acts.really_at.clear()

    def do(self, act: str) -> None:
        """Do one act, when the person may."""
        if self._shown is not None and act in self._shown.acts:
            self._doing[act]()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        pages = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_PageUp: -1}
        if event.key() in pages:
            for scroll in self._columns:
                bar = scroll.verticalScrollBar()
                bar.setValue(bar.value() + pages[Qt.Key(event.key())] * (bar.pageStep() - 60))
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    # Layout

    def _lay_out(self) -> None:
        self._left, self._middle, self._right = Scroll(), Scroll(), Scroll()
        self._columns: tuple[Scroll, ...] = (self._left, self._middle, self._right)
        self._row = QHBoxLayout()
        for column in self._columns:
            column.body.addStretch(1)
            self._row.addWidget(column)
        self.body.addLayout(self._row, 1)
        self.width_changed.connect(self._arrange)
        self._arrange(self.wide)

    def _arrange(self, wide: bool) -> None:
        """Three columns when wide; two when narrow, with what is said last below."""
        self._row.setSpacing(20 if wide else 12)
        self._right.setVisible(wide)
        self._left.setFixedWidth(LEFT_WIDE_PX if wide else LEFT_PX)
        for index, stretch in enumerate((0, 72, 46) if wide else (0, 1, 0)):
            self._row.setStretch(index, stretch)
        middle: list[Card] = [self.holds, self.answer, self.copies, self.asked]
        right: list[Card] = [self.safety, self.promises, self.history]
        _fill(self._left, [self.model, self.acts])
        _fill(self._middle, middle if wide else middle[:3] + right[:1] + middle[3:] + right[1:])
        _fill(self._right, right if wide else [])
        self.acts.set_columns(2 if wide else 1)

    def _connect(self) -> None:
        self.acts.pressed.connect(self.do)
        self.acts.really_at.changed.connect(self._on_really_at)
        self.holds.answered.connect(self.do)
        self.copies.pressed.connect(self._on_copy)
        self.answer.nozzle_pressed.connect(self.presenter.choose_nozzle)
        self.answer.turn_pressed.connect(lambda: self.do("turn"))
        self.model.mended.connect(self.presenter.mend)

    def _on_really_at(self, moment: datetime | None) -> None:
        self.presenter.really_at = moment

    def _on_main(self) -> None:
        if self._shown is not None and self.standing_over is None:
            self.do(self._shown.main)

    def _on_copy(self, act: str, copy_id: int) -> None:
        if act == "fit":
            self._ask_fit(copy_id)
        else:
            self.presenter.copy_act(act, copy_id)

    # Questions

    def _ask(self, panel: ActPanel) -> None:
        panel.backed.connect(panel.deleteLater)
        panel.open_over(self)

    def _page(self) -> RequestPage:
        assert self._shown is not None
        return self._shown.page

    def _reason(self, panel: ReasonPanel, call: Callable[..., None]) -> None:
        panel.given.connect(lambda words: call(words, panel.over, panel.refused))
        self._ask(panel)

    def _ask_send_back(self) -> None:
        title = f"Send {self._page().row.tag} back"
        panel = ReasonPanel(title, "Send it back", "What is to be changed", example="the bore is not given")
        self._reason(panel, self.presenter.send_back)

    def _ask_hold(self) -> None:
        panel = ReasonPanel(
            f"Hold {self._page().row.tag}", "Hold it", "The question", example="which side faces the chuck?"
        )
        self._reason(panel, self.presenter.hold)

    def _ask_close(self) -> None:
        asked = [line.words for line in self._page().holds if line.hold.kind.value == "question open"]
        panel = ReasonPanel(
            "Close the question", "Let it go on", "What was decided", sentence="; ".join(asked)
        )
        self._reason(panel, self.presenter.close_question)

    def _ask_take_back(self) -> None:
        panel = ReasonPanel(
            "Take the release back", "Take it back", "Why", sentence="What it covered is held again."
        )
        self._reason(panel, self.presenter.take_back)

    def _ask_withdraw(self) -> None:
        request = self._page().request
        reprint = request.replaces_aid_id is not None
        panel = WithdrawPanel(request.tag, self._at.now(), self._at.zone, reprint=reprint)
        panel.given.connect(
            lambda words: self.presenter.withdraw(words, panel.not_again_before, panel.over, panel.refused)
        )
        self._ask(panel)

    def _ask_fit(self, copy_id: int) -> None:
        line = next(line for line in self._page().copies if line.copy.id == copy_id)
        panel = FitPanel(line.tag)
        panel.given.connect(lambda words: self.presenter.say_fit(copy_id, words, panel.over, panel.refused))
        self._ask(panel)

    def _ask_change(self) -> None:
        panel = ChangePanel(
            self._page().request,
            self.presenter.choices,
            self._at.zone,
            self._at.now(),
            desk=self._at.person.may(Role.DESK),
        )
        panel.given.connect(lambda edited: self.presenter.change(edited, panel.over, panel.refused))
        self._ask(panel)

    def _ask_quantity(self) -> None:
        panel = QuantityPanel(self._page().request)
        panel.given.connect(
            lambda count, labels: self.presenter.change_quantity(count, labels, panel.over, panel.refused)
        )
        self._ask(panel)

    def _ask_decisions(self) -> None:
        panel = DecidePanel(self._page())
        panel.given.connect(lambda told: self.presenter.decide(told, panel.over, panel.refused))
        self._ask(panel)

    def _ask_safety(self) -> None:
        page, choices = self._page(), self.presenter.choices
        sizes = choices.sizes if choices else ()
        release = next((each.release for each in sizes if each.size.id == page.request.size_id), "")
        panel = SafetyPanel(page, release if page.gate.gated else "")
        panel.given.connect(
            lambda safety, same: self.presenter.answer(safety, same, panel.refused, panel.over)
        )
        self._ask(panel)

    def _ask_release(self) -> None:
        if self.presenter.choices is None:
            return
        panel = ReleasePanel(
            self._page(),
            self.presenter.choices,
            self._at.person,
            self._at.now(),
            self._at.zone,
        )
        panel.given.connect(lambda terms: self.presenter.release(terms, panel.over, panel.refused))
        self._ask(panel)

    def _ask_model(self) -> None:
        panel = ModelFilePanel(self._page())
        panel.given.connect(
            lambda path, scale: self.presenter.give_model(path, scale, panel.refused, panel.over)
        )
        self._ask(panel)

    def _ask_size(self) -> None:
        sizes = self.presenter.choices.sizes if self.presenter.choices else ()
        picks = [Pick(str(each.size.id), each.words, each.second) for each in sizes]
        panel = PickPanel("From which pattern size?", picks, confirm="Make it from this one")
        panel.picked.connect(lambda one: self.presenter.choose_size(int(one)))
        panel.open_once(self)

    def _ask_turn(self) -> None:
        advice = self._page().advice
        rests = advice.rests if advice else ()
        picks = [
            Pick(str(place), f"{rest.words[:1].upper()}{rest.words[1:]}", rest.reason)
            for place, rest in enumerate(rests)
        ]
        panel = PickPanel("How does it lie?", picks, confirm="Print it like this")
        panel.picked.connect(lambda one: self.presenter.choose_rest(rests[int(one)]))
        panel.open_once(self)


def _fill(column: Scroll, parts: list[Card]) -> None:
    """Put these cards into a column, and nothing else."""
    body = column.body
    for index in reversed(range(body.count())):
        item = body.itemAt(index)
        widget = item.widget() if item is not None else None
        if widget is not None:
            # WORKAROUND: an item from takeAt lives on and keeps the card's height of once (PySide 6.11)
            body.removeWidget(widget)
    for place, part in enumerate(parts):
        body.insertWidget(place, part)


def shortened(words: str, most: int) -> str:
    """The words, cut with dots when there are too many; the whole of them stands on the page."""
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def _sentence(page: RequestPage) -> str:
    """The answer to "what is it and where does it stand" in one line."""
    row = page.row
    asker = f"{row.asker} asks" + (f" for {row.machine}" if row.machine else "")
    needed = f"needed by {row.needed_words}" if row.needed_words else "no time said"
    ready = f"likely ready {row.ready_words}" if row.ready_words else ""
    said = ", ".join(words for words in (asker, needed, row.timing, ready) if words)
    return f"{said}. {row.state[:1].upper()}{row.state[1:]}."
