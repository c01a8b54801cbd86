"""The form as far as it is filled in: kept on this PC, turned into what is asked. No Qt."""

import json
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime, timedelta
from typing import Any

from printcrib.core.patterns import Fineness
from printcrib.core.requests import Purpose, Request
from printcrib.screens.parts.drawn_in import MM
from printcrib.screens.requests.needed import PROGRAM, SET, whole_minute
from printcrib.services.answer_form import FormAsk
from printcrib.services.read_model import ModelFile
from printcrib.services.take_request import NewRequest

PATTERN, FILE, WORDS = "pattern", "file", "words"


@dataclass(frozen=True, kw_only=True)
class Form:
    """What somebody filled in so far.

    Attributes:
        what: PATTERN, FILE or WORDS. file_path, photo_path: on this PC.
        when: id of a quick pick, "" while not said. needed_at: UTC, ISO text. hours: until the program is
            ready. labels: one a line; used when by_labels. scale: percent.
        safety: ticked ids, () for none of these, None while not answered.
    """

    what: str = PATTERN
    size_id: int | None = None
    file_path: str = ""
    unit: str = MM
    words: str = ""
    photo_path: str = ""
    how_fine: str = Fineness.NORMAL.value
    purpose: str = Purpose.FOR_USE.value
    quantity: int = 1
    by_labels: bool = False
    labels: str = ""
    machine_id: int | None = None
    when: str = ""
    needed_at: str = ""
    hours: int = 5
    asker_id: int | None = None
    material_id: int | None = None
    colour: str = ""
    job: str = ""
    job_revision: str = ""
    touches: str = ""
    critical_sizes: str = ""
    reason: str = ""
    scale: int = 100
    safety: tuple[int, ...] | None = None
    same_use: bool | None = None
    bore_um: int | None = None

    @property
    def begun(self) -> bool:
        """Whether there is anything in it worth keeping."""
        return self != Form(asker_id=self.asker_id)

    @property
    def label_list(self) -> tuple[str, ...]:
        """The labels, empty lines left out."""
        if not self.by_labels:
            return ()
        return tuple(line.strip() for line in self.labels.splitlines() if line.strip())

    @property
    def copies(self) -> int:
        """How many copies are asked for."""
        return len(self.label_list) or self.quantity

    def needed_by(self, now: datetime) -> datetime | None:
        """When it is needed, UTC; None while nobody said."""
        if self.when == PROGRAM:
            return whole_minute(now + timedelta(hours=self.hours))
        return datetime.fromisoformat(self.needed_at) if self.when and self.needed_at else None

    def asked(self, now: datetime) -> FormAsk:
        """What the answer hangs on."""
        return FormAsk(
            how_fine=Fineness(self.how_fine),
            quantity=self.copies,
            needed_by=self.needed_by(now),
            machine_id=self.machine_id,
            bore_um=self.bore_um,
            safety_answers=self.safety,
        )


def ask_of(form: Form, now: datetime, *, file: ModelFile | None, photo: bytes, photo_kind: str) -> NewRequest:
    """The filled form as what is asked of the desk.

    Args:
        file: what was read, when the form asks for a file.
    """
    needed = form.needed_by(now)
    return NewRequest(
        asker_id=form.asker_id,
        size_id=form.size_id if form.what == PATTERN else None,
        file=file if form.what == FILE else None,
        words=form.words,
        photo=photo,
        photo_kind=photo_kind,
        needed_by=None if form.when == PROGRAM else needed,
        program_ready_at=needed if form.when == PROGRAM else None,
        material_id=form.material_id,
        colour=form.colour,
        how_fine=Fineness(form.how_fine),
        purpose=Purpose(form.purpose),
        scale=form.scale / 100,
        quantity=form.copies,
        labels=form.label_list,
        machine_id=form.machine_id,
        job=form.job,
        job_revision=form.job_revision,
        touches=form.touches,
        critical_sizes=form.critical_sizes,
        reason=form.reason,
        safety_answers=None if form.same_use else form.safety,
        same_use=form.same_use,
        bore_um=form.bore_um,
    )


def form_of(request: Request) -> Form:
    """A stored request as a form, to change what was said of it."""
    needed = request.needed_by or request.program_ready_at
    return Form(
        what=PATTERN if request.size_id is not None else WORDS,
        size_id=request.size_id,
        words=request.words,
        how_fine=request.how_fine.value,
        purpose=request.purpose.value,
        quantity=request.quantity,
        by_labels=bool(request.labels),
        labels="\n".join(request.labels),
        machine_id=request.machine_id,
        when=SET if needed else "",
        needed_at=needed.astimezone(UTC).isoformat() if needed else "",
        asker_id=request.asker_id,
        material_id=request.material_id,
        colour=request.colour,
        job=request.job,
        job_revision=request.job_revision,
        touches=request.touches,
        critical_sizes=request.critical_sizes,
        reason=request.reason,
        scale=round(request.scale * 100),
        safety=request.safety_answers,
        bore_um=request.bore_um,
    )


def missing_of(form: Form) -> dict[str, str]:
    """What a request cannot be raised without, by field, each with the sentence to show there."""
    missing = {}
    nothing = {
        PATTERN: form.size_id is None,
        FILE: not form.file_path,
        WORDS: not (form.words.strip() or form.photo_path),
    }
    if nothing[form.what]:
        missing["what"] = "Choose a pattern size, give a model file, or say it in words."
    if not form.when:
        missing["when"] = "Say by when it is needed."
    if form.by_labels and not form.label_list:
        missing["labels"] = "Write one label a line, or choose a quantity."
    doubled = [label for label in form.label_list if form.label_list.count(label) > 1]
    if doubled:
        missing["labels"] = f"The label {doubled[0]} is there twice."
    return missing


def form_text(form: Form) -> str:
    """The form as text to keep."""
    return json.dumps(asdict(form))


def form_from(text: str) -> Form:
    """The form from kept text; an empty one where the text is none of ours."""
    try:
        kept: dict[str, Any] = json.loads(text)
        known = {field.name for field in fields(Form)}
        values = {name: value for name, value in kept.items() if name in known}
        if values.get("safety") is not None:
            values["safety"] = tuple(values["safety"])
        form = Form(**values)
        Fineness(form.how_fine)
        Purpose(form.purpose)
        form.needed_by(datetime(2000, 1, 1, tzinfo=UTC))
    except (ValueError, TypeError, AttributeError):
        return Form()
    return form
