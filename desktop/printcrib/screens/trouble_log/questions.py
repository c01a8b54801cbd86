"""The two questions of the Trouble log: what failed, and what it came from."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cause_pick import CausePick
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField, TickList
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.pick_file import PICTURES, ask_path
from printcrib.screens.parts.words import Words
from printcrib.services.log_failure import Trouble
from printcrib.services.look_at_failable import FailableRun
from printcrib.services.look_at_trouble import TroubleRow

RUN_CHOICES = 6


class FailurePanel(AskPanel):
    """Which run failed, with which copies, and why; how far and a photo may be left out.

    Signals:
        told(object, object, object, object): run, copy keys, Trouble, photo bytes.
    """

    told = Signal(object, object, object, object)

    def __init__(self, runs: Sequence[FailableRun], copy_id: int | None = None) -> None:
        super().__init__("What failed?", confirm="Log it", icon="trouble_log", width=980, stays=True)
        self._runs = {str(each.run.id): each for each in runs[:RUN_CHOICES]}
        self._photo = b""
        choices = [(key, f"{each.words}, {each.where}") for key, each in self._runs.items()]
        self.run_choice = ChoiceRow(choices, columns=2, says="Run")
        self.copies = TickList((), columns=3, says="Which copies are bad", holding=False)
        self._copies_words = Words("Which copies are bad", tone="second")
        self.cause = CausePick()
        self.percent = Stepper(50, least=0, most=100, step=10, unit="%", says="How far it got")
        self._percent_field = Field("How far it got, about", self.percent)
        self.done = TextField(says="What was done about it")
        self.photo = Button("Add a photo", icon="photo")
        self.photo.clicked.connect(self._on_photo)
        self.run_choice.chosen_changed.connect(self._on_run)
        for widget in (
            Field("Run", self.run_choice),
            self._copies_words,
            self.copies,
            Field("Why it failed", self.cause),
            self._percent_field,
            Field("What was done about it (may be left out)", self.done),
            self.photo,
        ):
            self.body.addWidget(widget)
        self.confirmed.connect(self._on_told)
        first = next(iter(self._runs))
        self.run_choice.set_chosen(first)
        self._on_run(first)
        if copy_id is not None:
            self.copies.set_ticked(frozenset({str(copy_id)}))

    def _on_run(self, key: str) -> None:
        run = self._runs[key]
        self.copies.set_choices([(str(copy_id), tag) for copy_id, tag in run.copies])
        self.copies.setVisible(bool(run.copies))
        self._copies_words.setVisible(bool(run.copies))
        self._percent_field.setVisible(run.on_printer)

    def _on_photo(self) -> None:
        chosen = ask_path(self, "Photo", PICTURES)
        if chosen:
            self._photo = Path(chosen).read_bytes()
            self.photo.set_words(f"Photo: {Path(chosen).name}")

    def _on_told(self) -> None:
        run = self._runs[self.run_choice.chosen or next(iter(self._runs))]
        if not self.cause.cause:
            self.set_error('Say why it failed; "not known yet" is an answer too.')
            return
        trouble = Trouble(
            cause=self.cause.cause,
            percent=float(self.percent.value) if run.on_printer else None,
            done_about_it=self.done.text().strip(),
        )
        self.told.emit(run, [int(key) for key in sorted(self.copies.ticked)], trouble, self._photo)


class CausePanel(AskPanel):
    """What a failure came from, once it is known.

    Signals:
        named(str, str): the cause, and what was done about it.
    """

    named = Signal(str, str)

    def __init__(self, row: TroubleRow) -> None:
        super().__init__(
            f"Why did run {row.run_number} fail?",
            confirm="Name the cause",
            sentence=f"{row.when_words} on {row.printer}. {', '.join(row.copies)}".strip(),
            width=980,
            stays=True,
        )
        self.cause = CausePick(row.failure.cause)
        self.done = TextField(row.failure.done_about_it, says="What was done about it")
        self.body.addWidget(self.cause)
        self.body.addWidget(Field("What was done about it (may be left out)", self.done))
        self.confirmed.connect(self._on_named)

    def _on_named(self) -> None:
        if not self.cause.cause:
            self.set_error("Choose what it came from.")
            return
        self.named.emit(self.cause.cause, self.done.text())
