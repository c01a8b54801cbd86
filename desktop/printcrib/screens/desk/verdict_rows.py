"""Copy by copy: good, failed with a cause, or to check."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.desk.forms import Verdicts
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Hairline
from printcrib.screens.parts.cause_pick import CausePick
from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.words import Words
from printcrib.services.judge_copies import Outcome
from printcrib.services.look_at_run import RunCopy

OUTCOME_WORDS = {
    Outcome.GOOD: "Good",
    Outcome.FAILED: "Failed",
    Outcome.TO_CHECK: "To check",
    Outcome.SCRAP: "Not wanted",
}
AT_TAKE_OFF = (Outcome.GOOD, Outcome.FAILED, Outcome.TO_CHECK)
AFTER_CHECK = (Outcome.GOOD, Outcome.FAILED, Outcome.SCRAP)


class CausePanel(AskPanel):
    """Why a copy failed, over the take-off."""

    named = Signal(str)

    def __init__(self, tag: str, cause: str) -> None:
        super().__init__(f"Why did {tag} fail?", confirm="That is it", width=900)
        self.pick = CausePick(cause)
        self.body.addWidget(self.pick)
        self.confirm_button.setEnabled(bool(cause))
        self.pick.cause_changed.connect(lambda named: self.confirm_button.setEnabled(bool(named)))
        self.confirmed.connect(lambda: self.named.emit(self.pick.cause))


class CopyRow(QWidget):
    """One copy with its three answers and, where it failed, its cause."""

    def __init__(self, copy: RunCopy, outcomes: tuple[Outcome, ...]) -> None:
        super().__init__()
        self.copy = copy
        name = Words(f"{copy.tag} {copy.label}".strip(), weight="strong", elide=True)
        what = Words(copy.name, tone="second", elide=True)
        what.setToolTip(copy.name)
        self.choice = ChoiceRow([(one.value, OUTCOME_WORDS[one]) for one in outcomes], says=copy.tag)
        self.cause_button = Button("Why it failed")
        self.cause_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        texts.addWidget(name)
        texts.addWidget(what)
        row = QGridLayout(self)
        row.setContentsMargins(0, 4, 0, 4)
        row.setHorizontalSpacing(16)
        row.setVerticalSpacing(10)
        row.addLayout(texts, 0, 0)
        row.addWidget(self.choice, 0, 1)
        row.addWidget(self.cause_button, 1, 1)
        row.setColumnStretch(0, 1)
        row.setColumnMinimumWidth(1, 430)

    def show_verdict(self, outcome: Outcome, cause: str) -> None:
        """Show what was said of it."""
        self.choice.set_chosen(outcome.value)
        self.cause_button.setVisible(outcome is Outcome.FAILED)
        self.cause_button.set_words(f"Why: {cause}", f"Why {self.copy.tag} failed: {cause}")


class VerdictRows(QWidget):
    """All copies of a run, and a row of answers for all at once where there are several.

    Signals:
        verdicts_changed(): somebody said something.
    """

    verdicts_changed = Signal()

    def __init__(self, verdicts: Verdicts, outcomes: tuple[Outcome, ...] = AT_TAKE_OFF) -> None:
        super().__init__()
        self.verdicts = verdicts
        self.rows: dict[int, CopyRow] = {}
        self.all_choice = ChoiceRow(
            [(one.value, f"All {OUTCOME_WORDS[one].lower()}") for one in outcomes], says="all copies"
        )
        self.all_choice.chosen_changed.connect(self._on_all)
        if len(verdicts.copies) < 2:
            self.all_choice.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        everyone = QHBoxLayout()
        everyone.addWidget(self.all_choice)
        column.addLayout(everyone)
        for index, copy in enumerate(verdicts.copies):
            if index or len(verdicts.copies) > 1:
                column.addWidget(Hairline())
            row = CopyRow(copy, outcomes)
            row.choice.chosen_changed.connect(lambda one, key=copy.copy_id: self._on_one(key, one))
            row.cause_button.clicked.connect(lambda _down=False, one=copy: self._ask_cause(one))
            self.rows[copy.copy_id] = row
            column.addWidget(row)
        self._show()

    def _on_all(self, outcome: str) -> None:
        self.verdicts.judge_all(Outcome(outcome))
        self._show()
        self.verdicts_changed.emit()

    def _on_one(self, copy_id: int, outcome: str) -> None:
        self.verdicts.judge(copy_id, Outcome(outcome))
        self._show()
        self.verdicts_changed.emit()

    def _ask_cause(self, copy: RunCopy) -> None:
        panel = CausePanel(copy.tag, self.verdicts.causes.get(copy.copy_id, ""))
        panel.named.connect(lambda cause: self._on_cause(copy.copy_id, cause))
        panel.open_once(self)

    def _on_cause(self, copy_id: int, cause: str) -> None:
        self.verdicts.name_cause(copy_id, cause)
        self._show()
        self.verdicts_changed.emit()

    def _show(self) -> None:
        for key, row in self.rows.items():
            row.show_verdict(self.verdicts.outcomes[key], self.verdicts.cause_of(key))
        same = set(self.verdicts.outcomes.values())
        self.all_choice.set_chosen(same.pop().value if len(same) == 1 else None)
