"""A form in steps: side by side on a wide page, one after the other on a narrow one."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.page import PageFrame


def _always() -> bool:
    return True


@dataclass(frozen=True)
class Step:
    """One step of a form.

    Attributes:
        words: what it asks, as in "Next: when and where".
        widget: its fields, usually a Card.
        stretch: its share of a wide page.
        may_go_on: whether what is asked here is answered; it shows its own error when not.
    """

    words: str
    widget: QWidget
    stretch: int = 1
    may_go_on: Callable[[], bool] = _always


class StepsFrame(PageFrame):
    """A page that asks in steps; the main button goes on, and at the last step finishes.

    Args:
        title: of the page.
        steps: in order.
        finish: the last main action ("Raise request"); its enabled_when is asked at the last step only.
        subtitle: the sentence of the wide page; a narrow one says "1 of 3: what".
        others: further actions.
        foot: stays visible under every step (the answer).
        always_stepped: one after the other on a wide page too (first set-up).

    Signals:
        step_changed(int): number of the step now shown, from 0.
    """

    step_changed = Signal(int)

    def __init__(
        self,
        title: str,
        steps: Sequence[Step],
        *,
        finish: Action,
        subtitle: str = "",
        others: Sequence[Action] = (),
        foot: QWidget | None = None,
        always_stepped: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        self._finish = finish
        self._at = 0
        self._sentence = subtitle
        self._always_stepped = always_stepped
        self._steps = tuple(steps)
        back = Action("back", "Back", self.go_back, "back", "Alt+Left", lambda: self._at > 0)
        go_on = Action("go_on", finish.words, self.go_on, None, finish.shortcut, self._may_press)
        super().__init__(title, subtitle, main=go_on, others=[back, *others], parent=parent)
        self._back_button = self.other_buttons["back"]
        row = QHBoxLayout()
        row.setSpacing(14)
        for step in steps:
            row.addWidget(step.widget, step.stretch)
        self.body.addLayout(row, 1)
        if foot is not None:
            self.body.addWidget(foot)
        self.width_changed.connect(lambda _wide: self._show_step())
        self._show_step()

    @property
    def stepped(self) -> bool:
        """Whether the steps stand one after the other now."""
        return self._always_stepped or not self.wide

    @property
    def step(self) -> int:
        """Number of the step shown, from 0."""
        return self._at

    def set_sentence(self, sentence: str) -> None:
        """Change the sentence of the wide page."""
        self._sentence = sentence
        self._show_step()

    def go_to(self, step: int) -> None:
        """Show a step."""
        self._at = max(0, min(len(self._steps) - 1, step))
        self._show_step()
        self.step_changed.emit(self._at)

    def go_back(self) -> None:
        """Show the step before; what is filled in stays."""
        self.go_to(self._at - 1)

    def go_on(self) -> None:
        """Show the next step, or finish; not while something asked is unanswered."""
        if not self.stepped:
            if all(step.may_go_on() for step in self._steps):
                self._finish.call()
        elif self._steps[self._at].may_go_on():
            if self._at == len(self._steps) - 1:
                self._finish.call()
            else:
                self.go_to(self._at + 1)

    def _may_press(self) -> bool:
        last = not self.stepped or self._at == len(self._steps) - 1
        return self._finish.enabled_when() if last else True

    def _show_step(self) -> None:
        stepped = self.stepped
        for index, step in enumerate(self._steps):
            step.widget.setVisible(not stepped or index == self._at)
        last = not stepped or self._at == len(self._steps) - 1
        if self.main_button is not None:
            words = self._finish.words if last else f"Next: {self._steps[self._at + 1].words}"
            self.main_button.set_words(words)
            self.main_button.set_icon(self._finish.icon if last else None)
        count = f"{self._at + 1} of {len(self._steps)}: {self._steps[self._at].words}"
        self.set_subtitle(count if stepped else self._sentence)
        self._back_button.setVisible(stepped and self._at > 0)
        self.refresh_actions()
