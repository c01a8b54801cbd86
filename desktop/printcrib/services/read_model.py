"""Read a model file: the file is kept as given, what it holds becomes a revision of a size."""

from dataclasses import dataclass, replace
from pathlib import PurePath

from printcrib.core.asking import revision_after
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.printers import Printer
from printcrib.core.records import NOT_YET
from printcrib.core.requests import Request
from printcrib.core.running import standing_mm
from printcrib.core.shapes import (
    TURNS,
    Extents,
    Finding,
    Mesh,
    ModelFacts,
    fit_finding,
    fits,
    scaled,
    scaled_facts,
    turned,
)
from printcrib.services.interfaces import Shop, UnitOfWork, is_

ONE_OFF = "one-off"
MOST_NAME = 40
"""Words longer than this tell a story; they are no name."""
SMALLEST_SCALE, LARGEST_SCALE = 0.001, 1000.0


@dataclass(frozen=True, kw_only=True)
class ModelFile:
    """A model file as somebody gave it.

    Attributes:
        unit_scale: factor from the file's numbers to mm (25.4 when drawn in inches).
        turn: index of the right-angled turn it is printed in, 0 as given; None lets the tool take the
            first in which it stands on a printer of the shop.
        source, licence: where the model came from.
        mended: what the tool did to an earlier revision to make it, "" for a file as given.
    """

    content: bytes
    name: str
    unit_scale: float = 1.0
    turn: int | None = None
    source: str = ""
    licence: str = ""
    mended: str = ""


@dataclass(frozen=True)
class PreparedModel:
    """A model file that was read and kept, not yet a revision of anything.

    Attributes:
        file: as given, its turn settled. sha256: the kept file, "" while it is only looked at.
        kind: stl, 3mf, obj or step.
        facts: after the unit scale, before the turn. mesh: likewise.
    """

    file: ModelFile
    sha256: str
    kind: str
    facts: ModelFacts
    mesh: Mesh


def prepare(shop: Shop, file: ModelFile) -> PreparedModel:
    """Read a model file and keep it; nothing is booked yet.

    Raises:
        ShopError: the file cannot be read, or the scale or turn makes no sense.
    """
    read = read_file(shop, file)
    return replace(read, sha256=shop.files.put(file.content, read.kind))


def read_file(shop: Shop, file: ModelFile) -> PreparedModel:
    """Read a model file for somebody who looks at it; it is not kept and its sha256 stays empty.

    Raises:
        ShopError: the file cannot be read, or the scale or turn makes no sense.
    """
    if not SMALLEST_SCALE <= file.unit_scale <= LARGEST_SCALE:
        raise ShopError(f"A scale of {file.unit_scale:g} makes no sense", "Choose mm, inches or metres.")
    if file.turn is not None:
        _refuse_turn(file.turn)
    read = shop.meshes.read(file.content, file.name)
    mesh, facts = read.mesh, read.facts
    if file.unit_scale != 1.0:
        mesh, facts = scaled(mesh, file.unit_scale), scaled_facts(facts, file.unit_scale)
    with shop.read() as uow:
        printers = uow.printers.find(is_("active", True))
    facts = replace(facts, findings=(*_unfit(facts, printers), *facts.findings))
    if file.turn is None:
        file = replace(file, turn=first_turn(facts.extents_mm, printers))
    return PreparedModel(file, "", read.kind, facts, mesh)


def _unfit(facts: ModelFacts, printers: tuple[Printer, ...]) -> tuple[Finding, ...]:
    """Said once, for the largest printer, when the model fits none."""
    rooms = [(*printer.platform_mm, printer.height_mm) for printer in printers]
    if not rooms or any(fits(facts.extents_mm, room) for room in rooms):
        return ()
    finding = fit_finding(facts.extents_mm, max(rooms, key=lambda room: room[0] * room[1] * room[2]))
    return (finding,) if finding else ()


def _refuse_turn(turn: int) -> None:
    if turn not in range(len(TURNS)):
        raise ShopError(f"There is no turn {turn}", "Choose one of the right-angled turns.")


def first_turn(extents_mm: Extents, printers: tuple[Printer, ...]) -> int:
    """The first turn in which a model stands on one of the printers; 0 when there is none."""
    for turn in range(len(TURNS)):
        if any(stands(standing_mm(extents_mm, turn), printer) for printer in printers):
            return turn
    return 0


def stands(standing: Extents, printer: Printer) -> bool:
    """Whether a model of this width, depth and height goes on a printer as it stands."""
    lying, floor = sorted(standing[:2]), sorted(printer.platform_mm)
    return standing[2] <= printer.height_mm and lying[0] <= floor[0] and lying[1] <= floor[1]


def model_in(uow: UnitOfWork, prepared: PreparedModel, size_id: int) -> Model:
    """Make the file the current revision of a size; earlier revisions stay as they are."""
    size = uow.sizes.get(size_id)
    file, facts = prepared.file, prepared.facts
    model = uow.models.add(
        Model(
            size_id=size.id,
            revision=revision_after(_last_revision(uow, size.id)),
            sha256=prepared.sha256,
            file_name=file.name,
            file_kind=prepared.kind,
            unit_scale=file.unit_scale,
            turn=file.turn or 0,
            triangles=facts.triangles,
            volume_cm3=facts.volume_cm3,
            extents_mm=facts.extents_mm,
            findings=tuple((finding.code, finding.words) for finding in facts.findings),
            trustworthy=facts.trustworthy,
            source=file.source,
            licence=file.licence,
            doubt=facts.doubt,
            mended=file.mended,
        )
    )
    uow.sizes.save(replace(size, model_id=model.id))
    return model


def turn_in(uow: UnitOfWork, model: Model, turn: int) -> Model:
    """The same file printed in another turn: a revision of its own, because a release names the turn."""
    _refuse_turn(turn)
    revision = revision_after(_last_revision(uow, model.size_id))
    new = uow.models.add(replace(model, id=0, version=0, happened_at=NOT_YET, turn=turn, revision=revision))
    uow.sizes.save(replace(uow.sizes.get(model.size_id), model_id=new.id))
    return new


def _last_revision(uow: UnitOfWork, size_id: int) -> str:
    models = uow.models.find(is_("size_id", size_id), newest_first=True, limit=1)
    return models[0].revision if models else ""


def keep_photo(shop: Shop, content: bytes, kind: str) -> str:
    """Keep a photo and give its SHA-256; "" for no photo."""
    return shop.files.put(content, kind) if content else ""


def one_off(uow: UnitOfWork) -> Pattern:
    """The unlisted pattern that carries requests from files and words; made when the shop is set up."""
    found = uow.patterns.one(is_("listed", False), is_("name", ONE_OFF))
    if found is not None:
        return found
    return uow.patterns.add(Pattern(number=uow.next_number("pattern"), name=ONE_OFF, listed=False))


def own_name(request: Request, file_name: str = "") -> str:
    """What people call a size made for one request: its words if few, else its file, else its tag."""
    if request.words and len(request.words) <= MOST_NAME:
        return request.words
    return PurePath(file_name).stem.strip() or request.tag


def one_off_size(uow: UnitOfWork, name: str) -> Size:
    """A size of its own for one request."""
    return uow.sizes.add(Size(pattern_id=one_off(uow).id, name=name))


def scaled_size(uow: UnitOfWork, model: Model, scale: float, name: str) -> Size:
    """A size of its own for a model printed at another scale; no release of the first covers it."""
    size = one_off_size(uow, name)
    width, depth, height = model.extents_mm
    scaled_model = replace(
        model,
        id=0,
        version=0,
        happened_at=NOT_YET,
        size_id=size.id,
        revision=revision_after(""),
        unit_scale=model.unit_scale * scale,
        extents_mm=(width * scale, depth * scale, height * scale),
        volume_cm3=model.volume_cm3 * scale**3,
    )
    return uow.sizes.save(replace(size, model_id=uow.models.add(scaled_model).id))


def model_of(uow: UnitOfWork, request: Request) -> Model | None:
    """The model a request is printed from now: its size's current revision; None while it has none."""
    if request.size_id is None:
        return None
    model_id = uow.sizes.get(request.size_id).model_id
    return None if model_id is None else uow.models.get(model_id)


def mesh_of(shop: Shop, model: Model) -> Mesh:
    """The surface of a model as it stands on the platform: scaled, turned, lowest point at height 0."""
    mesh = shop.meshes.read(shop.files.get(model.sha256), model.file_name).mesh
    if model.unit_scale != 1.0:
        mesh = scaled(mesh, model.unit_scale)
    return turned(mesh, tuple(TURNS)[model.turn])
