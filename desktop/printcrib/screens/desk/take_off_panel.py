"""A run comes off its printer and it is not so simple: copy by copy, minutes, grams, what was kept."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.requests import Purpose
from printcrib.core.units import duration_words
from printcrib.screens.desk.figure_field import GRAM_SOURCES, MINUTE_SOURCES, FigureField
from printcrib.screens.desk.forms import Figure, TakeOffForm
from printcrib.screens.desk.picks import key_of, spool_picks
from printcrib.screens.desk.verdict_rows import VerdictRows
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.cards import Hairline
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import PickField
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_run import RunPage
from printcrib.services.look_at_start import OnPrinter

NOTHING, KEPT = "nothing", "kept"


class TakeOffPanel(AskPanel):
    """What a person says of a run that comes off.

    Signals:
        told(object, object): the TakeOffForm, and when it really was (None for now).
    """

    told = Signal(object, object)

    def __init__(self, page: RunPage, choices: OnPrinter, sentence: str, now: Callable[[], datetime]) -> None:
        facts = [page.printer, f"nozzle {page.bore}" if page.bore else "", page.material]
        about = " · ".join(fact for fact in facts if fact)
        super().__init__(
            f"Take off {page.title[:1].lower()}{page.title[1:]}",
            confirm="Take it off",
            sentence=f"{about}. {sentence}".strip(),
            width=1040,
            stays=True,
        )
        self.form = TakeOffForm(page)
        self.rows: VerdictRows | None = None
        self.really_at = ReallyAt(now)
        if page.copies:
            self.rows = VerdictRows(self.form.verdicts)
            self.rows.verdicts_changed.connect(self._show)
            self.body.addWidget(self.rows)
        if self.form.by_hand:
            self.body.addWidget(self._by_hand(choices))
        self.body.addWidget(Hairline())
        self.body.addWidget(self._how_far())
        self.body.addLayout(self._figures())
        when = QHBoxLayout()
        when.addWidget(Words("Done", tone="second"))
        when.addWidget(self.really_at)
        when.addStretch(1)
        self.body.addLayout(when)
        self.confirmed.connect(lambda: self.told.emit(self.form, self.really_at.moment))
        self._show()

    def _figures(self) -> QHBoxLayout:
        run = self.form.page.run
        self.minutes = FigureField(
            "Printer time",
            self.form.minutes,
            MINUTE_SOURCES,
            unit="min",
            step=5,
            shown=duration_words,
            at_start=run.file_minutes_source,
        )
        self.grams = FigureField(
            "Filament it took",
            self.form.grams,
            GRAM_SOURCES,
            unit="g",
            step=1,
            at_start=run.file_mg_source,
        )
        self.minutes.figure_changed.connect(self._on_minutes)
        self.grams.figure_changed.connect(self._on_grams)
        return row_of(self.minutes, self.grams, spacing=24, stretch=(1, 1))

    def _on_minutes(self, figure: Figure) -> None:
        self.form.minutes = figure

    def _on_grams(self, figure: Figure) -> None:
        self.form.grams = figure

    def _how_far(self) -> QWidget:
        self.percent = Stepper(
            100 if self.form.percent is None else self.form.percent,
            least=0,
            most=100,
            step=5,
            says="how far it got",
            shown=lambda share: f"{share} %",
        )
        self.percent.value_changed.connect(self._on_percent)
        self.how_far = Field("How far it got", self.percent)
        return self.how_far

    def _on_percent(self, percent: int) -> None:
        self.form.percent = percent

    def _by_hand(self, choices: OnPrinter) -> QWidget:
        """What a run by hand used, and what is kept of it."""
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        chosen = "" if self.form.spool_id is None else str(self.form.spool_id)
        self.spool = PickField(
            says="what it used",
            picks=spool_picks(choices.spools),
            chosen=chosen,
            nothing="Nobody knows; choose a spool",
        )
        self.spool.picked_changed.connect(self._on_spool)
        self.kept = ChoiceRow([(NOTHING, "Nothing to keep"), (KEPT, "Something is kept")], chosen=NOTHING)
        self.kept.setAccessibleName("what it was")
        self.kept.chosen_changed.connect(self._on_kept)
        self.words = TextField(self.form.words, says="what it is", example="gauge holder, Lathe 2")
        self.words.textChanged.connect(self._on_words)
        self.quantity = Stepper(1, most=500, unit="kept", says="how many are kept")
        self.quantity.value_changed.connect(self._on_quantity)
        self.purpose = ChoiceRow(
            [(purpose.value, purpose.value) for purpose in Purpose], chosen=Purpose.FOR_USE.value
        )
        self.purpose.setAccessibleName("what for")
        self.purpose.chosen_changed.connect(self._on_purpose)
        self._kept_rows = QWidget()
        rows = QVBoxLayout(self._kept_rows)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.addLayout(
            row_of(Field("What it is", self.words), Field("How many", self.quantity), stretch=(2, 1))
        )
        rows.addWidget(self.purpose)
        rows.addWidget(
            Words("It gets a request; its safety questions are answered before it is ready.", tone="second")
        )
        for widget in (Field("What it used", self.spool), self.kept, self._kept_rows):
            column.addWidget(widget)
        self._kept_rows.hide()
        return holder

    def _on_spool(self, picked: str) -> None:
        self.form.spool_id = key_of(picked)

    def _on_kept(self, answer: str) -> None:
        self.form.keeps = answer == KEPT
        self._kept_rows.setVisible(self.form.keeps)

    def _on_words(self, words: str) -> None:
        self.form.words = words

    def _on_quantity(self, quantity: int) -> None:
        self.form.quantity = quantity

    def _on_purpose(self, purpose: str) -> None:
        self.form.purpose = Purpose(purpose)

    def _show(self) -> None:
        self.how_far.setVisible(self.form.asks_how_far)
        number = self.form.page.run.number
        said = f": {self.form.verdicts.words}" if self.form.page.copies else ""
        self.confirm_button.set_words(f"Take off run {number}{said}")
