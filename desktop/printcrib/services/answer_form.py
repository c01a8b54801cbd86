"""Answer a form before it is raised: what the model is, how long, how much, on which nozzle, by when."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from printcrib.core.asking import quantity_of
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Estimate, Fineness, Model, Pattern, Size
from printcrib.core.requests import Copy, CopyState, Request, RequestState
from printcrib.core.shapes import TURNS, Mesh, scaled, size_words, turned
from printcrib.services.estimate_run import latest
from printcrib.services.estimate_task import estimate_unkept, kept_estimates, material_for
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.read_model import ModelFile, mesh_of, read_file
from printcrib.services.read_open_work import OpenWork, read_open_work
from printcrib.services.say_when import ASKED, NozzleAnswer, nozzle_answers

Tell = Callable[[int, int], None]
"""Told how many nozzles are computed, and of how many."""


@dataclass(frozen=True, eq=False)
class FormModel:
    """A model as a form shows it before anything is booked.

    Attributes:
        model: its facts; id 0 while it is in nobody's books. mesh: as it stands on the platform, mm.
        pattern_id: of the pattern it belongs to, None for a file or another scale.
    """

    model: Model
    mesh: Mesh
    size_id: int | None = None
    pattern_id: int | None = None

    @property
    def extents(self) -> str:
        """Width, depth and height in words."""
        return size_words(self.model.extents_mm)

    @property
    def findings(self) -> tuple[str, ...]:
        """What the reader saw, in words; empty for a sound model."""
        return tuple(words for _, words in self.model.findings)

    @property
    def height_mm(self) -> float:
        """How tall it stands."""
        heights = self.mesh.vertices[:, 2]
        return float(heights.max() - heights.min())


@dataclass(frozen=True, kw_only=True)
class FormAsk:
    """What a form asks so far, as far as the answer hangs on it."""

    how_fine: Fineness = Fineness.NORMAL
    quantity: int = 1
    needed_by: datetime | None = None
    machine_id: int | None = None
    bore_um: int | None = None
    safety_answers: tuple[int, ...] | None = None
    weight: int = 1


def read_form_file(shop: Shop, file: ModelFile, scale: float = 1.0) -> FormModel:
    """Read a file for a form; it is not kept before the request is raised.

    Raises:
        ShopError: the file cannot be read; one plain sentence.
    """
    read = read_file(shop, replace(file, unit_scale=file.unit_scale * scale))
    turn = read.file.turn or 0
    model = Model(
        size_id=0,
        revision="A",
        sha256="",
        file_name=file.name,
        file_kind=read.kind,
        unit_scale=read.file.unit_scale,
        turn=turn,
        triangles=read.facts.triangles,
        volume_cm3=read.facts.volume_cm3,
        extents_mm=read.facts.extents_mm,
        findings=tuple((finding.code, finding.words) for finding in read.facts.findings),
        trustworthy=read.facts.trustworthy,
        doubt=read.facts.doubt,
    )
    return FormModel(model, turned(read.mesh, tuple(TURNS)[turn]))


def read_form_size(shop: Shop, size_id: int, scale: float = 1.0) -> FormModel:
    """The model of a pattern size for a form, at the asked scale.

    Raises:
        ShopError: the size has no model, or its file is gone.
    """
    with shop.read() as uow:
        size = uow.sizes.get(size_id)
        if size.model_id is None:
            raise ShopError(f"{size.name} has no model yet", "Give it one in the Pattern book.")
        model = uow.models.get(size.model_id)
    mesh = mesh_of(shop, model)
    if scale == 1.0:
        return FormModel(model, mesh, size.id, size.pattern_id)
    width, depth, height = model.extents_mm
    larger = replace(
        model,
        id=0,
        extents_mm=(width * scale, depth * scale, height * scale),
        volume_cm3=model.volume_cm3 * scale**3,
    )
    return FormModel(larger, scaled(mesh, scale))


def estimate_form(
    shop: Shop,
    shown: FormModel,
    material_id: int | None = None,
    *,
    tell: Tell | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Estimate, ...]:
    """Estimates of a form's model on every printer and nozzle; nothing is kept.

    Figures the books have already are taken from there.

    Raises:
        ShopError: the shop has no material.
    """
    with shop.read() as uow:
        material = material_for(uow, shown.size_id, material_id)
        kept = kept_estimates(uow, shown.model.id, material.id) if shown.model.id else ()
    if kept:
        return kept
    return estimate_unkept(
        shop, shown.model, shown.mesh, material, in_worker=True, tell=tell, cancelled=cancelled
    )


def answer_form(
    shop: Shop, shown: FormModel, estimates: tuple[Estimate, ...], ask: FormAsk
) -> tuple[NozzleAnswer, ...]:
    """How long, how much and by when on each nozzle, for what a form asks so far; smallest bore first."""
    if not estimates:
        return ()
    with shop.read() as uow:
        work = _with_ask(uow, read_open_work(uow, shop.clock.now()), shown, estimates, ask)
    return nozzle_answers(work, ASKED)


def _with_ask(
    uow: UnitOfWork, work: OpenWork, shown: FormModel, estimates: tuple[Estimate, ...], ask: FormAsk
) -> OpenWork:
    """The open work as if the form were raised and accepted."""
    size = _size_of(uow, shown)
    pattern = _pattern_of(uow, shown)
    request = _request_of(ask, size.id, estimates[0].material_id)
    wanted = tuple(
        Copy(id=-ordinal, request_id=ASKED, ordinal=ordinal, state=CopyState.WANTED)
        for ordinal in range(1, quantity_of(request) + 1)
    )
    releases = {} if shown.size_id is None else {size.id: uow.releases.find(is_("size_id", size.id))}
    return replace(
        work,
        requests={**work.requests, ASKED: request},
        copies={**work.copies, ASKED: wanted},
        sizes={**work.sizes, size.id: size},
        patterns={**work.patterns, pattern.id: pattern},
        models={**work.models, shown.model.id: shown.model},
        estimates={**work.estimates, **latest(estimates)},
        releases={**work.releases, **releases},
    )


def _size_of(uow: UnitOfWork, shown: FormModel) -> Size:
    if shown.size_id is not None:
        return uow.sizes.get(shown.size_id)
    return Size(id=ASKED, pattern_id=ASKED, name="asked", model_id=shown.model.id)


def _pattern_of(uow: UnitOfWork, shown: FormModel) -> Pattern:
    if shown.pattern_id is not None:
        return uow.patterns.get(shown.pattern_id)
    return Pattern(id=ASKED, number=0, name="asked", listed=False)


def _request_of(ask: FormAsk, size_id: int, material_id: int) -> Request:
    return Request(
        id=ASKED,
        number=0,
        asker_id=0,
        entered_by_id=0,
        size_id=size_id,
        material_id=material_id,
        how_fine=ask.how_fine,
        quantity=ask.quantity,
        needed_by=ask.needed_by,
        machine_id=ask.machine_id,
        safety_answers=ask.safety_answers,
        state=RequestState.ACCEPTED,
        weight=ask.weight,
        bore_um=ask.bore_um,
    )
