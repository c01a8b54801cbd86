"""A run is stopped before its end: how far it got, what that loses, and why."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from printcrib.screens.desk.words import loss_words
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.cause_pick import CausePick
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_run import RunPage
from printcrib.services.stop_run import Stopped

BY_US, FAILED = "by us", "failed"


class StopPanel(AskPanel):
    """What stopping loses, before the press.

    Signals:
        told(object, str, object): percent (None for what the clock says), cause ("" when stopped by
            hand), when it really was. share_changed(int): somebody said how far it got.
    """

    told = Signal(object, str, object)
    share_changed = Signal(int)

    def __init__(self, stopped: Stopped, page: RunPage, now: Callable[[], datetime]) -> None:
        super().__init__(
            f"Stop run {page.run.number} on {page.printer}?",
            confirm=f"Stop run {page.run.number}",
            back="Let it run",
            width=940,
            stays=True,
        )
        self._told_share: int | None = None
        self.loss = Words("", weight="medium", wrap=True)
        self.percent = Stepper(
            round(stopped.lost.percent),
            least=0,
            most=100,
            step=5,
            says="how far it got",
            shown=lambda share: f"{share} %",
        )
        self.why = ChoiceRow([(BY_US, "We stop it"), (FAILED, "It failed")], chosen=BY_US)
        self.why.setAccessibleName("why it stops")
        self.cause = CausePick()
        self.cause.hide()
        self.really_at = ReallyAt(now)
        self.body.addWidget(self.loss)
        self.body.addWidget(Field("How far it got", self.percent))
        self.body.addWidget(self.why)
        self.body.addWidget(self.cause)
        when = QHBoxLayout()
        when.addWidget(Words("Stopped", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(when)
        self.percent.value_changed.connect(self._on_share)
        self.why.chosen_changed.connect(lambda one: self.cause.setVisible(one == FAILED))
        self.confirmed.connect(self._tell)
        self.show_loss(loss_words(stopped.lost))

    def show_loss(self, words: str) -> None:
        """Say what is lost at the share shown."""
        self.loss.setText(words)

    def _on_share(self, percent: int) -> None:
        self._told_share = percent
        self.share_changed.emit(percent)

    def _tell(self) -> None:
        cause = ""
        if self.why.chosen == FAILED:
            cause = self.cause.cause or "not known yet"
        self.told.emit(self._told_share, cause, self.really_at.moment)
