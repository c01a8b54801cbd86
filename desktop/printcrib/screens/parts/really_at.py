"""When a thing was really done: a small button "Now" that opens steps back in time."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QWidget

from printcrib.core.calendar import WEEKDAYS, day_words
from printcrib.screens.parts import lettering
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words

STEPS = (
    ((-60, "1 h earlier"), (-15, "15 min earlier"), (-5, "5 min earlier")),
    (
        (60, "1 h later"),
        (15, "15 min later"),
        (5, "5 min later"),
    ),
)
"""Minutes and words of the buttons, two rows."""

DAY_MINUTES = 24 * 60


def clock_of(moment: datetime, now: datetime) -> str:
    """The time of day, with the day where it is not today: "05:40", "Tue 22:10"."""
    local = moment.astimezone(now.tzinfo)
    time = f"{local:%H:%M}"
    if local.date() == now.date():
        return time
    if (now.date() - local.date()).days < 7:
        return f"{WEEKDAYS[local.weekday()]} {time}"
    return f"{day_words(local.date(), now.year)} {time}"


class ReallyAtPanel(AskPanel):
    """Steps back in time, over the page.

    Args:
        now: the shop's wall time. moment: where the steps begin.

    Signals:
        told(object): the moment (aware UTC), or None for now.
    """

    told = Signal(object)

    def __init__(self, now: datetime, moment: datetime | None = None) -> None:
        super().__init__(
            "When was it really done?",
            confirm="Now",
            sentence="The books keep both times: this one, and when it was told.",
            width=720,
        )
        self._now = now
        self._minutes = 0 if moment is None else min(0, round((moment - now).total_seconds() / 60))
        self.shown = Words("", points=lettering.COUNT_NARROW_PT, weight="strong")
        self.shown.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.buttons: dict[int, Button] = {}
        self.body.addWidget(self.shown)
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        for row, steps in enumerate(STEPS):
            for column, (minutes, words) in enumerate(steps):
                grid.addWidget(self._step(minutes, words), row, column)
        grid.addWidget(self._step(-DAY_MINUTES, "Yesterday"), 2, 0)
        self.now_button = Button("Now, after all")
        self.now_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.now_button.clicked.connect(lambda: self.go(-self._minutes))
        grid.addWidget(self.now_button, 2, 1, 1, 2)
        self.body.addLayout(grid)
        self.confirmed.connect(lambda: self.told.emit(self.moment))
        self._show()

    @property
    def moment(self) -> datetime | None:
        """The moment the steps lead to, None for now."""
        if not self._minutes:
            return None
        return (self._now + timedelta(minutes=self._minutes)).astimezone(UTC).replace(microsecond=0)

    def go(self, minutes: int) -> None:
        """Go so many minutes later (negative: earlier); never beyond now."""
        self._minutes = min(0, self._minutes + minutes)
        self._show()

    def _step(self, minutes: int, words: str) -> Button:
        button = Button(words)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: self.go(minutes))
        self.buttons[minutes] = button
        return button

    def _show(self) -> None:
        moment = self.moment
        words = "now" if moment is None else clock_of(moment, self._now)
        self.shown.setText(words)
        self.confirm_button.set_words("Now" if moment is None else f"Really at {words}")
        self.now_button.setEnabled(moment is not None)
        for minutes, button in self.buttons.items():
            button.setEnabled(minutes < 0 or minutes <= -self._minutes)


class ReallyAt(QWidget):
    """A button that says when the thing is booked: "Now", or "Really at 05:40" once somebody told.

    Args:
        now: asked for the shop's wall time (aware).

    Signals:
        changed(object): the moment told (aware UTC), or None for now.
    """

    changed = Signal(object)

    def __init__(self, now: Callable[[], datetime], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._now = now
        self._moment: datetime | None = None
        self.button = Button("Now", icon="clock")
        self.button.clicked.connect(self.open_steps)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.button)
        self.setFocusProxy(self.button)
        self.set_moment(None)

    @property
    def moment(self) -> datetime | None:
        """When it really happened (aware UTC), None for now."""
        return self._moment

    def set_moment(self, moment: datetime | None) -> None:
        """Show a moment without telling anybody."""
        self._moment = moment
        words = "Now" if moment is None else f"Really at {clock_of(moment, self._now())}"
        self.button.set_words(words, f"When it was really done: {words[:1].lower()}{words[1:]}")

    def clear(self) -> None:
        """Back to now; the press it was told for is booked."""
        self.set_moment(None)

    def open_steps(self) -> None:
        """Let somebody say when it really was."""
        panel = ReallyAtPanel(self._now(), self._moment)
        panel.told.connect(self._on_told)
        panel.open_once(self)

    def _on_told(self, moment: datetime | None) -> None:
        self.set_moment(moment)
        self.changed.emit(moment)
