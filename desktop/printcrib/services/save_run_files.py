"""Save a run for whatever makes the print file: one 3MF with its copies in place, or a folder of models."""

from collections.abc import Iterable

from printcrib.core.errors import ShopError
from printcrib.core.planning.rows import Placed, place_in_rows
from printcrib.core.requests import Copy, CopyState
from printcrib.core.runs import Run
from printcrib.core.shapes import Mesh, extents_of, turned
from printcrib.services.estimate_run import model_of
from printcrib.services.finish_copy import copy_tag
from printcrib.services.interfaces import Shop, among, is_
from printcrib.services.read_calendar import settings_of
from printcrib.services.read_model import mesh_of

QUARTER_TURN = "+z/90"


def run_3mf(shop: Shop, run_id: int) -> bytes:
    """One 3MF with every copy of the run at its place on the platform, named by request and label.

    Plain rows with the shop's gap between copies.

    Raises:
        ShopError: the run has no copies, a copy has no model, or the copies do not stand together.
    """
    run, copies, names = _read(shop, run_id)
    meshes = _meshes(shop, copies)
    with shop.read() as uow:
        platform, gap = uow.printers.get(run.printer_id).platform_mm, settings_of(uow).gap_mm
    sizes = [_footprint(meshes[copy.id]) for copy in copies]
    placed = place_in_rows(platform, sizes, gap)
    if placed is None:
        raise ShopError(f"The copies of run {run.number} do not stand together", "Plan again.")
    items = tuple(
        (names[copy.id], _as_placed(meshes[copy.id], place), (place.x_mm, place.y_mm))
        for copy, place in zip(copies, placed, strict=True)
    )
    return shop.mesh_writer.one_3mf(items)


def run_folder(shop: Shop, run_id: int) -> dict[str, bytes]:
    """The run's models as STL files by name, each as often as it is printed."""
    _, copies, names = _read(shop, run_id)
    meshes = _meshes(shop, copies)
    return {f"{_file_name(names[copy.id])}.stl": shop.mesh_writer.stl(meshes[copy.id]) for copy in copies}


def _read(shop: Shop, run_id: int) -> tuple[Run, tuple[Copy, ...], dict[int, str]]:
    """The run, its copies and what each is called."""
    with shop.read() as uow:
        run = uow.runs.get(run_id)
        copies = uow.copies.find(
            is_("run_id", run.id), among("state", set(CopyState) - {CopyState.CANCELLED})
        )
        requests = {r.id: r for r in uow.requests.find(among("id", {copy.request_id for copy in copies}))}
    if not copies:
        raise ShopError(f"Run {run.number} has no copies", "Choose another run.")
    names = {}
    for copy in copies:
        tag = copy_tag(copy, requests[copy.request_id])
        names[copy.id] = f"{tag} {copy.label}".strip()
    return run, copies, names


def _meshes(shop: Shop, copies: Iterable[Copy]) -> dict[int, Mesh]:
    """The surface of each copy as it stands on the platform; a model is read once."""
    listed = tuple(copies)
    with shop.read() as uow:
        model_ids = {copy.id: model_of(uow, copy) for copy in listed}
        wanted = {model_id for model_id in model_ids.values() if model_id is not None}
        models = {model_id: uow.models.get(model_id) for model_id in wanted}
    if None in model_ids.values():
        raise ShopError("A copy on the run has no model", "Give it a model, then save again.")
    read = {model_id: mesh_of(shop, model) for model_id, model in models.items()}
    return {key: read[model_id] for key, model_id in model_ids.items() if model_id is not None}


def _footprint(mesh: Mesh) -> tuple[float, float]:
    width, depth, _ = extents_of(mesh)
    return width, depth


def _as_placed(mesh: Mesh, place: Placed) -> Mesh:
    """Turned by a right angle where the row wants it."""
    return turned(mesh, QUARTER_TURN) if place.turned else mesh


def _file_name(name: str) -> str:
    """A name every file system takes: "R 214/2 A7" is "R 214-2 A7"."""
    return "".join(char if char.isalnum() or char in " .-_" else "-" for char in name)
