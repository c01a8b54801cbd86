"""A start that is not as planned: what is really on the printer, minutes and grams as read."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout

from printcrib.core.units import between_words, duration_words, grams_words
from printcrib.screens.desk.figure_field import START_SOURCES, FigureField
from printcrib.screens.desk.forms import Figure, Offer, StartForm
from printcrib.screens.desk.picks import key_of, nozzle_picks, spool_picks
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Hairline, emptied
from printcrib.screens.parts.fields import Field
from printcrib.screens.parts.file_drop import FileDrop
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import PickField
from printcrib.screens.parts.pick_file import PRINT_FILES, ask_path
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.words import Words
from printcrib.services.give_print_file import RunFile
from printcrib.services.look_at_start import BeforeStart


class StartPanel(AskPanel):
    """What a person says of a run that starts.

    Signals:
        told(object, object): the StartForm, and when it really was (None for now).
        print_file_wanted(): the copies are to be saved, for whatever makes the print file.
        print_file_given(str): the path of the file it is printed from.
    """

    told = Signal(object, object)
    print_file_wanted = Signal()
    print_file_given = Signal(str)

    def __init__(self, before: BeforeStart, refusal: str, now: Callable[[], datetime]) -> None:
        tags = ", ".join(dict.fromkeys(copy.tag.split("/")[0] for copy in before.copies))
        count = len(before.copies)
        copies = "1 copy" if count == 1 else f"{count} copies"
        super().__init__(
            f"Start run {before.run.number} on {before.printer.name}",
            confirm=f"Start run {before.run.number}",
            sentence=f"{copies} of {tags} · nozzle {before.bore} · {before.material} · "
            f"{between_words(before.minutes, max(before.run.at_most_minutes, before.minutes))}, "
            f"{grams_words(before.mg)}",
            width=1040,
            stays=True,
        )
        self.form = StartForm(before)
        self.really_at = ReallyAt(now)
        for reason in before.unsure:
            self.body.addWidget(Words(reason, weight="medium", wrap=True))
        self.body.addLayout(self._what_is_on(before))
        self.offers_row = QHBoxLayout()
        self.offers_row.setSpacing(12)
        self.body.addLayout(self.offers_row)
        self.offer_buttons: list[Button] = []
        self.body.addWidget(Hairline())
        self.body.addLayout(self._print_file())
        self.body.addLayout(self._figures())
        self.body.addLayout(self._when())
        self.confirmed.connect(lambda: self.told.emit(self.form, self.really_at.moment))
        self._show()
        self.set_error(refusal)

    def _what_is_on(self, before: BeforeStart) -> QVBoxLayout:
        choices = before.choices
        self.nozzle = PickField(
            says="nozzle fitted",
            picks=nozzle_picks(choices.nozzles),
            chosen=str(self.form.nozzle_id or ""),
            nothing="Which one is on it?",
        )
        self.spool = PickField(
            says="spool on it",
            picks=spool_picks(choices.spools),
            chosen=str(self.form.spool_id or ""),
            nothing="Which one is on it?",
        )
        self.second = PickField(
            says="second spool",
            picks=spool_picks([s for s in choices.spools if s.will_do], nothing="No second spool"),
            nothing="No second spool",
        )
        self.nozzle.picked_changed.connect(self._on_nozzle)
        self.spool.picked_changed.connect(self._on_spool)
        self.second.picked_changed.connect(self._on_second)
        column = QVBoxLayout()
        column.addLayout(
            row_of(
                Field("Really fitted", self.nozzle),
                Field("Really on it", self.spool),
                Field("Goes on when that is empty", self.second),
                stretch=(1, 1, 1),
            )
        )
        self.spool_words = Words("", tone="second")
        column.addWidget(self.spool_words)
        return column

    def _print_file(self) -> QVBoxLayout:
        """What the print file says, once one was read."""
        self.file_words = Words("", tone="second", wrap=True)
        self.file_doubts = Words("", tone="signal", weight="medium", wrap=True)
        column = QVBoxLayout()
        for words in (self.file_words, self.file_doubts):
            words.hide()
            column.addWidget(words)
        FileDrop(self).dropped.connect(self.print_file_given)
        return column

    def take_file(self, file: RunFile) -> None:
        """The print file was read: its minutes and grams fill the sheet, with what looks wrong about it."""
        self.form.take_file(file)
        self.minutes.set_figure(self.form.minutes)
        self.grams.set_figure(self.form.grams)
        self.file_words.setText(f"{file.name}: {file.words}")
        self.file_words.show()
        self.file_doubts.setText("\n".join(file.doubts))
        self.file_doubts.setVisible(bool(file.doubts))
        self.set_error("")
        self._show()
        self.confirm_button.setFocus()

    def _ask_file(self) -> None:
        path = ask_path(self, "Choose the print file", PRINT_FILES)
        if path:
            self.print_file_given.emit(path)

    def _figures(self) -> QHBoxLayout:
        self.minutes = FigureField(
            "Minutes it will take",
            self.form.minutes,
            START_SOURCES,
            unit="min",
            step=5,
            shown=duration_words,
        )
        self.grams = FigureField("Grams it will take", self.form.grams, START_SOURCES, unit="g", step=1)
        self.minutes.figure_changed.connect(self._on_minutes)
        self.grams.figure_changed.connect(self._on_grams)
        return row_of(self.minutes, self.grams, spacing=24, stretch=(1, 1))

    def _when(self) -> QHBoxLayout:
        self.save_button = Button("Save its files", icon="save")
        self.save_button.clicked.connect(lambda: self.print_file_wanted.emit())
        self.file_button = Button("Print file", icon="open")
        self.file_button.setToolTip("Its minutes and grams fill the sheet. It may be dropped here, too.")
        self.file_button.clicked.connect(self._ask_file)
        row = QHBoxLayout()
        row.addWidget(Words("Started", tone="second"))
        row.addWidget(self.really_at)
        row.addStretch(1)
        row.addWidget(self.save_button)
        row.addWidget(self.file_button)
        return row

    def _on_nozzle(self, picked: str) -> None:
        self.form.nozzle_id = key_of(picked)

    def _on_spool(self, picked: str) -> None:
        self.form.spool_id = key_of(picked)
        self.set_error("")
        self._show()

    def _on_second(self, picked: str) -> None:
        self.form.second_spool_id = key_of(picked)
        self.set_error("")
        self._show()

    def _on_minutes(self, figure: Figure) -> None:
        self.form.minutes = figure

    def _on_grams(self, figure: Figure) -> None:
        self.form.grams = figure
        self._show()

    def _take(self, offer: Offer) -> None:
        self.form.take(offer)
        self.spool.set_chosen(str(offer.spool_id))
        self.second.set_chosen("" if offer.second_spool_id is None else str(offer.second_spool_id))
        self.set_error("")
        self._show()
        self.confirm_button.setFocus()

    def _show(self) -> None:
        spool = self.form.spool
        need = grams_words(self.form.need_mg)
        short = self.form.short_mg if spool is not None else 0
        if spool is not None:
            missing = f": {grams_words(short)} short." if short else "."
            self.spool_words.setText(
                f"{spool.tag} can give {grams_words(spool.usable_mg)}, the run takes {need}{missing}"
            )
        self.spool_words.set_tone("signal" if short else "second")
        self.spool_words.setVisible(spool is not None)
        emptied(self.offers_row)
        self.offer_buttons = []
        for offer in self.form.offers():
            button = Button(offer.words)
            button.clicked.connect(lambda _down=False, one=offer: self._take(one))
            self.offer_buttons.append(button)
            self.offers_row.addWidget(button)
        self.offers_row.addStretch(1)
