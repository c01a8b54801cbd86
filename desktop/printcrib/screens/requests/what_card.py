"""What is asked for: a pattern size, a model file, or words and a photo; with the model's picture."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.drawn_in import INCH, MM, UNIT_CHOICES
from printcrib.screens.parts.fields import ChoiceRow, NotesField
from printcrib.screens.parts.marks import IconMark
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.pick_file import MODEL_FILES, PICTURES, ask_path
from printcrib.screens.parts.picture import PictureView
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.form import FILE, PATTERN, WORDS, Form
from printcrib.services.answer_form import FormModel
from printcrib.services.look_at_form import FormChoices

PICTURE_ENDINGS = (".jpg", ".jpeg", ".png", ".webp")


class WhatCard(Card):
    """The left side of the form. A file may be dropped on it.

    Signals:
        edited(object): dict of form fields a person changed.
        file_given(str): path of a model file. photo_given(str): path of a photo.
        cancelled(): stop reading the file.
    """

    edited = Signal(object)
    file_given = Signal(str)
    photo_given = Signal(str)
    cancelled = Signal()

    def __init__(self) -> None:
        super().__init__(padding=12, spacing=10)
        self._roomy, self._form = False, Form()
        self.setAcceptDrops(True)
        self.kinds = ChoiceRow(
            [(PATTERN, "Pattern"), (FILE, "File"), (WORDS, "Words")], says="what is asked for"
        )
        self.size_field = PickField(says="pattern size", nothing="Choose a size", confirm="Ask for this one")
        self.file_button = Button("Choose a file", icon="open")
        self.unit = ChoiceRow(UNIT_CHOICES, says="the file's unit")
        self.unit_button = Button("Is it inch?")
        self.words = NotesField(says="what is asked for", example="What it is and what it does", lines=3)
        self.photo_button = Button("Add a photo", icon="photo")
        self.photo = PictureView("photo", empty="No photo yet")
        self.panel = ModelPanel()
        self._error = Words("", tone="signal", weight="medium", wrap=True)
        self._name = Words("", weight="strong", elide=True)
        self._facts_icon = IconMark("done")
        self._facts = Words("", tone="second", wrap=True)
        self._busy = Words("", wrap=True)
        self.cancel_button = Button("Cancel")
        self._lay_out()
        self._connect()
        self.show_form(Form())
        self.show_model(None)
        self.set_busy("")
        self.set_error("")

    def set_roomy(self, roomy: bool) -> None:
        """Leave out what is said twice where there is little room."""
        self._roomy = roomy
        self.show_form(self._form)

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        self._form = form
        self.kinds.set_chosen(form.what)
        self.size_field.setVisible(form.what == PATTERN and (self._roomy or form.size_id is None))
        self.size_field.set_chosen(str(form.size_id or ""))
        self.file_button.setVisible(form.what == FILE and (self._roomy or not form.file_path))
        self.unit.setVisible(form.what == FILE and self._roomy)
        self.unit_button.setVisible(form.what == FILE and not self._roomy)
        self.unit_button.set_words("Is it inch?" if form.unit == MM else "Is it mm?")
        self.file_button.set_words(Path(form.file_path).name or "Choose a file")
        self.unit.set_chosen(form.unit)
        if self.words.text() != form.words:
            self.words.blockSignals(True)
            self.words.setPlainText(form.words)
            self.words.blockSignals(False)
        in_words = form.what == WORDS
        self.words.setVisible(in_words)
        self.photo_button.setVisible(in_words)
        self.photo.setVisible(in_words)
        self.photo_button.set_words("Another photo" if form.photo_path else "Add a photo")
        self.panel.setVisible(not in_words)
        self._facts_row.setVisible(not in_words and bool(self._facts.text()))
        self._name.setVisible(not in_words and bool(self._name.text()))

    def show_choices(self, choices: FormChoices) -> None:
        """Offer the sizes of the pattern book."""
        self.size_field.set_picks(
            [
                Pick(
                    str(choice.size.id),
                    choice.words,
                    f"{choice.second}{', released' if choice.release else ''}",
                )
                for choice in choices.sizes
            ]
        )

    def set_name(self, name: str) -> None:
        """What the model is called."""
        self._name.setText(name)

    def show_model(self, shown: FormModel | None, name: str = "", waiting: str = "No model yet") -> None:
        """Show the model with what was found, or why there is none."""
        if shown is None:
            self.panel.view.clear(waiting)
            self._name.setText("")
            self._facts.setText("")
        else:
            height = f"{shown.height_mm:.0f} mm"
            self.panel.view.set_model(shown.mesh.vertices, shown.mesh.faces, height)
            self._name.setText(name)
            sound = not shown.findings
            self._facts.setText(
                f"Sound, {shown.extents}" if sound else f"{shown.extents}. {' '.join(shown.findings)}"
            )
            self._facts_icon.show_icon("done" if sound else "problem", "ink" if sound else "signal")
            self._facts.set_tone("second" if sound else "ink")
        self._facts_row.setVisible(shown is not None)
        self._name.setVisible(bool(self._name.text()))

    def show_photo(self, content: bytes | None) -> bool:
        """Show the photo; False when the bytes are no picture."""
        return self.photo.set_picture(content) or not content

    def set_busy(self, words: str) -> None:
        """Say that the file is being read, with a way to stop; "" when it is over."""
        self._busy.setText(words)
        self._busy_row.setVisible(bool(words))

    def set_error(self, sentence: str) -> None:
        """Why what was given cannot be taken; the rest of the form stays."""
        self._error.setText(sentence)
        self._error.setVisible(bool(sentence))

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
        if paths:
            event.acceptProposedAction()
            self.take(paths[0])

    def take(self, path: str) -> None:
        """Take a file that was dropped or chosen, by its ending."""
        if Path(path).suffix.lower() in PICTURE_ENDINGS:
            self.photo_given.emit(path)
        else:
            self.file_given.emit(path)

    def _lay_out(self) -> None:
        self._facts_row, self._busy_row = QWidget(), QWidget()
        facts = QHBoxLayout(self._facts_row)
        busy = QHBoxLayout(self._busy_row)
        for row in (facts, busy):
            row.setContentsMargins(0, 0, 0, 0)
            row.setSpacing(10)
        facts.addWidget(self._facts_icon)
        facts.addWidget(self._facts, 1)
        facts.addWidget(self.unit_button)
        busy.addWidget(self._busy, 1)
        busy.addWidget(self.cancel_button)
        self._facts.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        file_row = QVBoxLayout()
        file_row.setSpacing(10)
        for part in (self.size_field, self.file_button, self.unit):
            file_row.addWidget(part)
        self.add(self.kinds)
        self.body.addLayout(file_row)
        self.body.addWidget(self.words)
        self.body.addWidget(self.photo_button)
        self.body.addWidget(self.photo, 1)
        self.body.addWidget(self._busy_row)
        self.body.addWidget(self._error)
        self.body.addWidget(self.panel, 1)
        self.body.addWidget(self._name)
        self.body.addWidget(self._facts_row)

    def _connect(self) -> None:
        self.kinds.chosen_changed.connect(self._on_kind)
        self.size_field.picked_changed.connect(lambda one: self.edited.emit({"size_id": int(one)}))
        self.unit.chosen_changed.connect(lambda one: self.edited.emit({"unit": one}))
        self.words.textChanged.connect(lambda: self.edited.emit({"words": self.words.text()}))
        self.unit_button.clicked.connect(
            lambda: self.edited.emit({"unit": INCH if self._form.unit == MM else MM})
        )
        self.file_button.clicked.connect(self._ask_file)
        self.photo_button.clicked.connect(self._ask_photo)
        self.cancel_button.clicked.connect(self.cancelled.emit)

    def _on_kind(self, kind: str) -> None:
        """A press says what kind, and opens the list of it: the next press is known."""
        self.edited.emit({"what": kind})
        if kind == PATTERN:
            self.size_field.open_list()
        elif kind == FILE:
            self._ask_file()

    def _ask_file(self) -> None:
        path = ask_path(self, "Choose a model file", MODEL_FILES)
        if path:
            self.file_given.emit(path)

    def _ask_photo(self) -> None:
        path = ask_path(self, "Choose a photo", PICTURES)
        if path:
            self.photo_given.emit(path)
