"""Reads what a form shows in the background: the model, its estimates, the answer, the photo. No Qt.

One piece of each kind is under way at a time; what a person changed meanwhile is done afterwards.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Estimate
from printcrib.screens.parts.drawn_in import UNIT_SCALES
from printcrib.screens.requests.form import FILE, PATTERN, Form
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import (
    FormAsk,
    FormModel,
    answer_form,
    estimate_form,
    read_form_file,
    read_form_size,
)
from printcrib.services.interfaces import Shop
from printcrib.services.read_model import ModelFile
from printcrib.services.say_when import NozzleAnswer

MOST_BYTES = 500_000_000
MOST_PHOTO_BYTES = 25_000_000


@dataclass
class Stop:
    """Set by a person who no longer wants what is under way."""

    asked: bool = False


@dataclass(frozen=True)
class ReadForm:
    """What was read for a form.

    Attributes:
        file: as given, with its bytes; None for a pattern size.
    """

    shown: FormModel
    file: ModelFile | None = None


class ReadingView(Protocol):
    """What is told while reading."""

    def model_read(self, read: ReadForm | None) -> None:
        """The model is there, or there is none."""
        ...

    def model_refused(self, sentence: str) -> None:
        """The file cannot be taken; one sentence."""
        ...

    def answers_came(self, answers: tuple[NozzleAnswer, ...]) -> None:
        """A new answer of every nozzle."""
        ...

    def busy_with(self, words: str) -> None:
        """What is being done, "" for nothing."""
        ...

    def tell_progress(self, done: int, whole: int) -> None:
        """So many nozzles are computed; called from another thread."""
        ...


@dataclass
class FormReading:
    """The model and the answer of one form.

    Attributes:
        read: the model shown now. estimates: of it, for the material asked for.
    """

    standing: Standing
    view: ReadingView
    read: ReadForm | None = None
    estimates: tuple[Estimate, ...] = ()
    _model_of: tuple[object, ...] = ()
    _estimates_of: tuple[object, ...] = ()
    _answer_of: tuple[object, ...] = ()
    _stop: Stop = field(default_factory=Stop)
    _estimating: bool = False
    _answering: bool = False
    _form: Form = field(default_factory=Form)

    def follow(self, form: Form) -> None:
        """Read what changed: the model, then its estimates, then the answer."""
        self._form = form
        wanted = model_wanted(form)
        if wanted != self._model_of:
            self._model_of = wanted
            self._forget()
            self._read_model(form)
        elif self.read is not None:
            self._follow_estimates()

    def cancel(self) -> None:
        """Somebody no longer waits; the form stays as it is."""
        self._stop.asked = True
        self._stop = Stop()
        self.view.busy_with("")

    def forget(self) -> None:
        """The form is empty again."""
        self.cancel()
        self._model_of = ()
        self._forget()

    def answer_again(self) -> None:
        """The plan or the stock changed: the same question may have another answer."""
        self._answer_of = ()
        if self.read is not None:
            self._follow_estimates()

    def _forget(self) -> None:
        self._stop.asked = True
        self._stop = Stop()
        self.read, self.estimates = None, ()
        self._estimates_of = self._answer_of = ()
        self.view.model_read(None)

    def _read_model(self, form: Form) -> None:
        stop = self._stop
        work, words = model_work(form)
        if work is None:
            self.view.busy_with("")
            return
        self.view.busy_with(words)

        def done(read: ReadForm) -> None:
            if not stop.asked:
                self.read = read
                self.view.busy_with("")
                self.view.model_read(read)
                self._follow_estimates()

        def failed(error: ShopError) -> None:
            if not stop.asked:
                self.view.busy_with("")
                self.view.model_refused(str(error))

        self.standing.look(work, done, failed=failed)

    def _follow_estimates(self) -> None:
        wanted = (self._model_of, self._form.material_id)
        if wanted == self._estimates_of:
            self._follow_answer()
        elif not self._estimating:
            self._estimates_of, self._answer_of = wanted, ()
            self._estimate()

    def _estimate(self) -> None:
        read, stop, material_id = self.read, self._stop, self._form.material_id
        assert read is not None
        wanted = self._estimates_of
        self._estimating = True
        self.view.busy_with("Estimating")

        def work(shop: Shop) -> tuple[Estimate, ...]:
            return estimate_form(
                shop, read.shown, material_id, tell=self.view.tell_progress, cancelled=lambda: stop.asked
            )

        def over(estimates: tuple[Estimate, ...]) -> None:
            self._estimating = False
            if not stop.asked:
                self.view.busy_with("")
            if stop.asked or wanted != (self._model_of, self._form.material_id):
                self._again()
                return
            self.estimates = estimates
            self._follow_answer()

        def failed(error: ShopError) -> None:
            self._estimating = False
            self.view.busy_with("")
            if not stop.asked:
                self.view.model_refused(str(error))

        self.standing.look(work, over, failed=failed)

    def _again(self) -> None:
        """What was asked for changed while estimating."""
        if self.read is not None:
            self._follow_estimates()

    def _follow_answer(self) -> None:
        ask = self._form.asked(self.standing.now())
        wanted = (self._estimates_of, ask)
        if self._answering or wanted == self._answer_of or not self.estimates or self.read is None:
            return
        self._answer_of = wanted
        self._answer(self.read.shown, self.estimates, ask)

    def _answer(self, shown: FormModel, estimates: tuple[Estimate, ...], ask: FormAsk) -> None:
        self._answering = True

        def came(answers: tuple[NozzleAnswer, ...]) -> None:
            self._answering = False
            if self.read is not None and self.read.shown is shown:
                self.view.answers_came(answers)
                self._follow_answer()

        def failed(error: ShopError) -> None:
            self._answering = False
            self.view.model_refused(str(error))

        self.standing.look(lambda shop: answer_form(shop, shown, estimates, ask), came, failed=failed)


def model_wanted(form: Form) -> tuple[object, ...]:
    """What the model hangs on."""
    if form.what == PATTERN:
        return (PATTERN, form.size_id, form.scale)
    if form.what == FILE:
        return (FILE, form.file_path, form.unit, form.scale)
    return (form.what,)


def model_work(form: Form) -> tuple[Callable[[Shop], ReadForm] | None, str]:
    """How the form's model is read, and what to say meanwhile; None where there is none."""
    scale = form.scale / 100
    if form.what == PATTERN and form.size_id is not None:
        size_id = form.size_id
        return (lambda shop: ReadForm(read_form_size(shop, size_id, scale))), "Reading the pattern"
    if form.what == FILE and form.file_path:
        path, unit_scale = Path(form.file_path), UNIT_SCALES[form.unit]

        def read(shop: Shop) -> ReadForm:
            file = ModelFile(content=file_bytes(path, MOST_BYTES), name=path.name, unit_scale=unit_scale)
            return ReadForm(read_form_file(shop, file, scale), file)

        return read, f"Reading {path.name}"
    return None, ""


def file_bytes(path: Path, most: int) -> bytes:
    """The bytes of a file on this PC.

    Raises:
        ShopError: it is not there, cannot be read, or is too large.
    """
    try:
        if path.stat().st_size > most:
            raise ShopError(f"{path.name} is larger than {most // 1_000_000} MB", "Give a smaller file.")
        return path.read_bytes()
    except OSError:
        what = f"{path.name} cannot be read from {path.parent}"
        raise ShopError(what, "Choose the file again.") from None
