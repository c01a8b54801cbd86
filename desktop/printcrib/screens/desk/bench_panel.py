"""What lies off the printers: copies to check, to finish, to hand out."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.screens.desk.forms import Verdicts
from printcrib.screens.desk.verdict_rows import AFTER_CHECK, VerdictRows
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Hairline, emptied
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_copies import CopiesAtDesk, ReadyCopy, ToFinish
from printcrib.services.look_at_run import RunCopy


class BenchPanel(AskPanel):
    """Every copy that is not yet where it belongs, with its next press.

    Signals:
        judge_wanted(): the copies to check are to be judged.
        finished(object): a ToFinish whose step is done. all_finished(): all steps of all are done.
        handed_out(object), shelved(object): a ReadyCopy. led_to(str, int): place and record.
    """

    judge_wanted = Signal()
    finished = Signal(object)
    all_finished = Signal()
    handed_out = Signal(object)
    shelved = Signal(object)
    led_to = Signal(str, int)

    def __init__(self, copies: CopiesAtDesk) -> None:
        super().__init__("Off the printers", width=1000, stays=True)
        self.copies = copies
        self.buttons: dict[str, Button] = {}
        self.set_copies(copies)

    def set_copies(self, copies: CopiesAtDesk) -> None:
        """Show what lies there now; the focus goes to the same press of the copy that moved up."""
        had = [button.hasFocus() for button in self.buttons.values()]
        kinds = [kind_of(key) for key in self.buttons]
        by_keys = any(button.ring.shown for button in self.buttons.values())
        self.copies = copies
        self.buttons = {}
        emptied(self.body)
        if copies.to_check:
            self._head("To check", self._button("judge", "Judge them", lambda: self.judge_wanted.emit()))
            for checked in copies.to_check:
                self._row(checked.tag, checked.name)
        if copies.to_finish:
            every = [one for one in copies.to_finish if one.step]
            everything = ("finish all", "All are finished", lambda: self.all_finished.emit())
            self._head("To finish", *([self._button(*everything)] if len(every) > 1 else []))
            for one in copies.to_finish:
                self._row(one.tag, one.name, *self._to_finish(one))
        if copies.ready:
            self._head("Ready")
            for ready in copies.ready:
                self._row(ready.tag, ready.name, *self._ready(ready))
        self.body.addStretch(1)
        if True in had:
            self._focus_again(kinds[: had.index(True) + 1], by_keys)

    def _focus_again(self, kinds: Sequence[str], by_keys: bool) -> None:
        """Go on where one was: `kinds` are those of the buttons up to the one just pressed."""
        at = kinds.count(kinds[-1]) - 1
        alike = [button for key, button in self.buttons.items() if kind_of(key) == kinds[-1]]
        left = alike[at:] or alike[-1:] or list(self.buttons.values()) or [self.back_button]
        left[0].show()  # the layout would show it later, and nothing unseen takes the focus
        self.bring_into_view(left[0])
        left[0].setFocus(Qt.FocusReason.TabFocusReason if by_keys else Qt.FocusReason.OtherFocusReason)

    def _to_finish(self, one: ToFinish) -> Sequence[QWidget]:
        if not one.step:
            words = Words("safety answers missing", tone="second")
            lead = self._button(
                f"answer {one.copy_id}",
                "Answer them",
                lambda: self.led_to.emit("requests", one.request_id),
                one.tag,
            )
            return (words, lead)
        done = self._button(
            f"finish {one.copy_id}", f"Done: {one.step}", lambda: self.finished.emit(one), one.tag
        )
        return (Words(one.step_words, tone="second"), done)

    def _ready(self, one: ReadyCopy) -> Sequence[QWidget]:
        shelf = self._button(f"shelve {one.copy_id}", "To the shelf", lambda: self.shelved.emit(one), one.tag)
        if one.why_not:
            held = Words(one.why_not, tone="signal", wrap=True)
            held.setMinimumWidth(260)
            lead = self._button(
                f"see {one.copy_id}",
                "See why",
                lambda: self.led_to.emit("requests", one.request_id),
                one.tag,
            )
            return (held, lead)
        if one.needs_machine:
            aid_id = one.aid_id or 0
            choose = self._button(
                f"hand out {one.copy_id}",
                "Choose a machine",
                lambda: self.led_to.emit("aids", aid_id),
                one.tag,
            )
            return (shelf, choose)
        out = self._button(
            f"hand out {one.copy_id}", f"Hand out to {one.to}", lambda: self.handed_out.emit(one), one.tag
        )
        return (shelf, out)

    def _button(self, key: str, words: str, call: Callable[[], None], tag: str = "") -> Button:
        button = Button(words, says=f"{tag}: {words}" if tag else None)
        button.clicked.connect(lambda _down=False: call())
        self.buttons[key] = button
        return button

    def _head(self, words: str, *buttons: Button) -> None:
        if self.body.count():
            self.body.addWidget(Hairline())
        row = QHBoxLayout()
        row.addWidget(Words(words, weight="strong"), 1)
        for button in buttons:
            row.addWidget(button)
        self.body.addLayout(row)

    def _row(self, tag: str, name: str, *beside: QWidget) -> None:
        row = QHBoxLayout()
        row.setSpacing(12)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        texts.addWidget(Words(tag, weight="medium"))
        what = Words(name, tone="second", elide=True)
        what.setToolTip(name)
        texts.addWidget(what)
        row.addLayout(texts, 1)
        for widget in beside:
            row.addWidget(widget)
        self.body.addLayout(row)


def kind_of(key: str) -> str:
    """What a button does, whichever copy it is for: "shelve 12" is "shelve"."""
    kind, _, copy = key.rpartition(" ")
    return kind if copy.isdigit() else key


class JudgePanel(AskPanel):
    """Copies that were taken off unseen are judged.

    Signals:
        told(object, object): verdicts by copy key, and when it really was (None for now).
    """

    told = Signal(object, object)

    def __init__(self, copies: tuple[RunCopy, ...], now: Callable[[], datetime]) -> None:
        super().__init__("Are they good?", confirm="Book it", width=1000, stays=True)
        self.verdicts = Verdicts(copies)
        self.rows = VerdictRows(self.verdicts, AFTER_CHECK)
        self.rows.verdicts_changed.connect(self._show)
        self.really_at = ReallyAt(now)
        self.body.addWidget(self.rows)
        when = QHBoxLayout()
        when.addWidget(Words("Seen", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(when)
        self.confirmed.connect(lambda: self.told.emit(self.verdicts.told(), self.really_at.moment))
        self._show()

    def _show(self) -> None:
        self.confirm_button.set_words(f"Book it: {self.verdicts.words}")
