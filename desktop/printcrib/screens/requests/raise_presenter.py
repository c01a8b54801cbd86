"""Raising a request: what is filled in, what is read for it, what it comes to. No Qt."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, Protocol

from printcrib.core.consequences import Consequence, consequence_of
from printcrib.core.errors import ShopError
from printcrib.core.requests import Purpose, Request
from printcrib.core.safety import GATED
from printcrib.screens.requests.columns import NozzleColumn, columns_of, marked
from printcrib.screens.requests.form import (
    FILE,
    PATTERN,
    WORDS,
    Form,
    ask_of,
    form_from,
    form_text,
    missing_of,
)
from printcrib.screens.requests.form_model import MOST_PHOTO_BYTES, FormReading, ReadForm, file_bytes
from printcrib.screens.requests.needed import needed_words
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import FormModel
from printcrib.services.interfaces import Done, Shop
from printcrib.services.look_at_form import FormChoices, SizeChoice, look_at_form
from printcrib.services.press import Press
from printcrib.services.say_when import NozzleAnswer
from printcrib.services.take_request import NewRequest, keep_draft, raise_request

NOTHING_YET = "Choose what is asked for; the answer of every nozzle comes here."
NO_MODEL = "A request in words waits for its model; then it is estimated."


class RaiseView(Protocol):
    """The form on the page."""

    def show_choices(self, choices: FormChoices) -> None:
        """What there is to choose from."""
        ...

    def show_form(self, form: Form) -> None:
        """What is filled in."""
        ...

    def show_model(self, shown: FormModel | None, name: str, waiting: str) -> None:
        """The model, or why there is none."""
        ...

    def show_name(self, name: str) -> None:
        """What the model is called."""
        ...

    def show_photo(self, content: bytes | None) -> bool:
        """The photo; False when the bytes are no picture."""
        ...

    def show_busy(self, words: str) -> None:
        """What is being read; "" for nothing."""
        ...

    def show_errors(self, errors: dict[str, str]) -> None:
        """Sentences beside their causes: "what", "when", "labels", "" for the whole form."""
        ...

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str, minutes_words: str) -> None:
        """The answer of each nozzle, or a sentence instead."""
        ...

    def show_summary(self, sentence: str) -> None:
        """The answer in one line."""
        ...

    def show_safety(
        self,
        safety: tuple[int, ...] | None,
        same_use: bool | None,
        release: str,
        consequence: Consequence,
    ) -> None:
        """The safety answers and what they come to."""
        ...

    def tell_progress(self, done: int, whole: int) -> None:
        """So many nozzles are computed; called from another thread."""
        ...

    def form_changed(self) -> None:
        """Something worth keeping on this PC changed."""
        ...

    def taken(self, request: Request) -> None:
        """The request is raised, or kept as a draft."""
        ...


class RaisePresenter:
    """One form, from empty to raised; a half-filled one is kept."""

    def __init__(self, standing: Standing, view: RaiseView) -> None:
        self._standing, self._view = standing, view
        self.form = Form(asker_id=standing.person.id)
        self.choices: FormChoices | None = None
        self.answers: tuple[NozzleAnswer, ...] = ()
        self.really_at: datetime | None = None
        self._photo: bytes = b""
        self._sending = self._pattern_due = False
        self._reading = FormReading(standing, self)

    def begin(self) -> None:
        """The form comes to the front: offer what the shop has now, show what is filled in."""
        self._standing.look(look_at_form, self._on_choices)
        self._show()

    def restore(self, text: str) -> None:
        """Take up the form kept on this PC."""
        form = form_from(text)
        if form.begun:
            self.form = replace(form, asker_id=form.asker_id or self._standing.person.id)
            if self.form.photo_path:
                self._read_photo(self.form.photo_path)

    def kept(self) -> str:
        """The half-filled form as text; "" when there is nothing in it."""
        return form_text(self.form) if self.form.begun else ""

    def fill(self, **fields: Any) -> None:
        """Begin with something known: the size of a pattern, for instance."""
        self.form = replace(Form(asker_id=self._standing.person.id), **fields)
        self._photo = b""
        self._pattern_due = True
        self._take_pattern()
        self._show()

    def change(self, fields: dict[str, Any]) -> None:
        """A person filled something in."""
        self.form = replace(self.form, **fields)
        if "size_id" in fields:
            self.form = replace(self.form, same_use=None)
            self._take_pattern()
        self._view.form_changed()
        self._show()

    def choose_file(self, path: str) -> None:
        """A model file was chosen or dropped."""
        self.change({"what": FILE, "file_path": path})

    def choose_photo(self, path: str) -> None:
        """A photo was chosen or dropped."""
        self._read_photo(path)

    def choose_nozzle(self, bore_um: int) -> None:
        """The desk chooses the nozzle; the same press again leaves it to the plan."""
        self.change({"bore_um": None if self.form.bore_um == bore_um else bore_um})

    def cancel_reading(self) -> None:
        """Stop reading the file; what else is filled in stays."""
        self._reading.cancel()
        if self.form.what == FILE and self._reading.read is None:
            self.change({"file_path": ""})

    def start_over(self) -> None:
        """Empty the form."""
        self.form = Form(asker_id=self._standing.person.id)
        self._photo, self.really_at = b"", None
        self._reading.forget()
        self._view.form_changed()
        self._show()

    def plan_changed(self) -> None:
        """The plan, the stock or the books changed."""
        self._standing.look(look_at_form, self._on_choices)
        self._reading.answer_again()

    def raise_it(self) -> None:
        """Raise the request, when nothing it cannot do without is missing."""
        missing = missing_of(self.form)
        self._view.show_errors(missing)
        if not missing:
            self._send(raise_request, lambda request: f"{request.tag} is raised; the desk sees it.")

    def keep_draft(self) -> None:
        """Keep it in the shop's books as a draft."""
        self._view.show_errors({})
        self._send(keep_draft, lambda request: f"{request.tag} is kept as a draft.")

    def _send(
        self,
        service: Callable[[Shop, Press, NewRequest], Done[Request]],
        said: Callable[[Request], str],
    ) -> None:
        if self._sending:
            return
        self._sending = True
        read = self._reading.read
        ask = ask_of(
            self.form,
            self._standing.now(),
            file=read.file if read else None,
            photo=self._photo,
            photo_kind=Path(self.form.photo_path).suffix.lstrip(".").lower() or "jpeg",
        )

        def taken(request: Request) -> None:
            self._sending = False
            self.start_over()
            self._view.taken(request)

        def refused(error: ShopError) -> None:
            self._sending = False
            self._view.show_errors({_field_of(error): str(error)})
            self._standing.messages.problem(error)

        self._standing.act(
            lambda shop, press: service(shop, press, ask),
            said,
            then=taken,
            failed=refused,
            really_at=self.really_at,
            words="Raising the request",
        )

    # What FormReading tells

    def model_read(self, read: ReadForm | None) -> None:
        """The model is there, or there is none."""
        self.answers = ()
        name = self._name_of(read) if read else ""
        if read is not None:
            self._view.show_errors({})
        self._view.show_model(read.shown if read else None, name, self._waiting_words())
        self._show_answer()

    def model_refused(self, sentence: str) -> None:
        """The file cannot be taken."""
        self._view.show_errors({"what": sentence})

    def answers_came(self, answers: tuple[NozzleAnswer, ...]) -> None:
        """A new answer of every nozzle."""
        self.answers = answers
        self._show_answer()

    def busy_with(self, words: str) -> None:
        """What is being read."""
        self._view.show_busy(words)

    def tell_progress(self, done: int, whole: int) -> None:
        """So many nozzles are computed; from another thread."""
        self._view.tell_progress(done, whole)

    # Showing

    def _show(self) -> None:
        self._view.show_form(self.form)
        choice = self._size()
        release = choice.release if choice and self.form.scale == 100 else ""
        answers = self.form.safety
        self._view.show_safety(
            answers,
            self.form.same_use,
            release if gated(self.form) else "",
            self._consequence(answers, release),
        )
        self._reading.follow(self.form)
        self._show_answer()

    def _consequence(self, answers: tuple[int, ...] | None, release: str) -> Consequence:
        choice = self._size()
        pattern = choice.pattern.safety_answers if choice and self.form.what == PATTERN else None
        if release and self.form.same_use:
            return Consequence("Covered by the release, on its conditions.")
        if release and self.form.same_use is None and gated(self.form):
            return Consequence("For the same use the release covers it; for another all ten are asked.")
        return consequence_of(Purpose(self.form.purpose), answers, pattern)

    def _show_answer(self) -> None:
        columns = self.columns()
        sentence = NO_MODEL if self.form.what == WORDS else NOTHING_YET
        copies = self.form.copies
        minutes = "Minutes" if copies == 1 else "Minutes for both" if copies == 2 else f"Minutes for {copies}"
        self._view.show_answer(columns, "" if columns else sentence, minutes)
        self._view.show_summary(self.summary())

    def columns(self) -> tuple[NozzleColumn, ...]:
        """The answer as it is shown."""
        return columns_of(
            self.answers,
            now=self._standing.now(),
            zone=self._standing.zone,
            printers=self.choices.printers if self.choices else {},
            chosen_um=self.form.bore_um,
            how_fine=self.form.how_fine,
            currency=self.choices.currency if self.choices else "",
        )

    def summary(self) -> str:
        """The answer in one line, with the time it is needed."""
        best = marked(self.columns())
        needed = self.form.needed_by(self._standing.now())
        if best is None:
            return ""
        said = best.words[:1].upper() + best.words[1:]
        if needed is None or not best.by:
            return f"{said}."
        late = (
            "" if best.late else f", needed {needed_words(self._standing.now(), needed, self._standing.zone)}"
        )
        return f"{said}{late}."

    def _on_choices(self, choices: FormChoices) -> None:
        self.choices = choices
        self._view.show_choices(choices)
        if self._pattern_due:
            self._take_pattern()
        if self._reading.read is not None:
            self._view.show_name(self._name_of(self._reading.read))
        self._show()

    def _size(self) -> SizeChoice | None:
        if self.choices is None or self.form.what != PATTERN:
            return None
        return next((each for each in self.choices.sizes if each.size.id == self.form.size_id), None)

    def _name_of(self, read: ReadForm) -> str:
        if read.file is not None:
            return read.file.name
        choice = self._size()
        return choice.words if choice else ""

    def _waiting_words(self) -> str:
        if self.form.what == PATTERN:
            return "Choose a size from the pattern book"
        return "Choose a file, or drop one here"

    def _take_pattern(self) -> None:
        """How fine comes from the pattern; it can be changed."""
        choice = self._size()
        if choice is not None:
            self._pattern_due = False
            self.form = replace(self.form, how_fine=choice.pattern.how_fine.value)

    def _read_photo(self, path: str) -> None:
        def done(content: bytes) -> None:
            if not self._view.show_photo(content):
                self._view.show_errors({"what": f"{Path(path).name} is no picture. Choose another one."})
                return
            self._photo = content
            self.change({"what": WORDS, "photo_path": path})

        def failed(error: ShopError) -> None:
            self._view.show_errors({"what": str(error)})

        self._standing.look(lambda _shop: file_bytes(Path(path), MOST_PHOTO_BYTES), done, failed=failed)


def gated(form: Form) -> bool:
    """Whether its copies are to be used, and so may need a release."""
    return Purpose(form.purpose) in GATED


def _field_of(error: ShopError) -> str:
    """Where a refusal stands: beside its cause where we know it."""
    for word, name in (("label", "labels"), ("model", "what"), ("asked for", "what"), ("by when", "when")):
        if word in error.what:
            return name
    return ""
