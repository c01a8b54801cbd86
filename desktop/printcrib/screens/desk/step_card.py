"""The card with the next hands-on steps and the one large button."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.desk.words import Card as CardWords
from printcrib.screens.desk.words import CardStep
from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Hairline
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words

MOST_STEPS, LEAST_PLACES = 4, 3


class StepView(QWidget):
    """One operation: its number, what to do, what belongs to it."""

    def __init__(self) -> None:
        super().__init__()
        self.number = Words("", tone="second")
        self.words = Words("", weight="strong", elide=True)
        self.detail = Words("", tone="second", elide=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for line in (self.number, self.words, self.detail):
            column.addWidget(line)

    def set_step(self, step: CardStep | None) -> None:
        """Show an operation; None for an empty place."""
        self.number.setText(step.number if step else "")
        self.words.setText(step.words if step else "")
        self.detail.setText(step.detail if step else "")
        said = f"{step.number} {step.words}, {step.detail}".rstrip(", ") if step else ""
        self.setAccessibleName(said)
        self.words.setToolTip(step.words if step else "")
        self.detail.setToolTip(step.detail if step else "")

    def set_wide(self, wide: bool) -> None:
        """Larger words where there is room."""
        self.words.set_type(lettering.CARD_PT if wide else lettering.TEXT_PT, "strong")
        self.number.set_type(lettering.CELL_PT if wide else lettering.TEXT_PT)
        self.detail.set_type(lettering.CELL_PT if wide else lettering.TEXT_PT)


class StepCard(Card):
    """Do next on one printer: title, by when, steps 10 20 30 40, one press at a time.

    Signals:
        pressed(): the large button. not_so_pressed(): the button for when it is not so simple.
    """

    pressed = Signal()
    not_so_pressed = Signal()

    def __init__(self, really_at: ReallyAt) -> None:
        super().__init__(padding=14, strong=True, spacing=0)
        self.title.show()
        self.body.removeWidget(self.title)
        self.title.setWordWrap(False)
        self.words = Words("", tone="second", elide=True)
        self.main_button = Button("", kind="main")
        self.main_button.clicked.connect(lambda: self.pressed.emit())
        self.other_button = Button("")
        self.other_button.clicked.connect(lambda: self.not_so_pressed.emit())
        self.really_at = really_at
        self.steps = [StepView() for _ in range(MOST_STEPS)]
        self._rules = [Hairline(upright=True) for _ in range(MOST_STEPS - 1)]
        self._lay_out()
        for not_known_yet in (self.other_button, self.really_at, *self._rules):
            not_known_yet.hide()
        self.set_wide(False)

    def set_card(self, card: CardWords) -> None:
        """Show what is to be done."""
        self.title.setText(card.title)
        self.words.setText(card.words)
        self.words.setToolTip(card.words)
        for index, view in enumerate(self.steps):
            view.set_step(card.steps[index] if index < len(card.steps) else None)
            # three take the whole width; one or two keep to the left, where the eye is
            used = index < max(len(card.steps), LEAST_PLACES)
            self._row_of_steps.setStretch(2 * index, 1 if used else 0)
        for index, rule in enumerate(self._rules, start=1):
            rule.setVisible(index < len(card.steps))
        self.main_button.set_words(card.press_words)
        self.other_button.set_words(card.other_words or "Not so")
        self.other_button.setVisible(bool(card.other_words))
        self.really_at.setVisible(card.tells_time)
        self.setAccessibleName(f"{card.title}. {card.words}")

    def set_wide(self, wide: bool) -> None:
        """Lay out for a wide or a narrow page."""
        points = lettering.DESK_PT if wide else lettering.DESK_NARROW_PT
        self.title.set_type(points, "strong")
        self.words.set_type(lettering.CELL_PT if wide else lettering.TEXT_PT)
        self.main_button.setFixedSize(*((340, 210) if wide else (196, 164)))
        self.main_button.set_points(26 if wide else lettering.MAIN_PT + 2)
        side = 24 if wide else 14
        self.body.setContentsMargins(side + 6, side, side, side)
        for view in self.steps:
            view.set_wide(wide)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(self.title, 1)
        head.addWidget(self.other_button)
        head.addWidget(self.really_at)
        steps = QHBoxLayout()
        steps.setSpacing(14)
        for index, view in enumerate(self.steps):
            view.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            if index:
                steps.addWidget(self._rules[index - 1])
            steps.addWidget(view, 1)
        self._row_of_steps = steps
        left = QVBoxLayout()
        left.setSpacing(0)
        left.addLayout(head)
        left.addWidget(self.words)
        left.addStretch(1)
        left.addLayout(steps)
        row = QHBoxLayout()
        row.setSpacing(20)
        row.addLayout(left, 1)
        row.addWidget(self.main_button)
        self.body.addLayout(row)
