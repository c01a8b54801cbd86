"""Mend a model at one press: a file of its own is made of an earlier revision, which stays as it was."""

from printcrib.core.errors import ShopError
from printcrib.core.mending import DONE, SCALES, Mend, mended_name, mends_for
from printcrib.core.patterns import Model
from printcrib.core.shapes import scaled
from printcrib.services.interfaces import Shop
from printcrib.services.read_model import ModelFile, PreparedModel, prepare


def mended(shop: Shop, model: Model, mend: Mend) -> PreparedModel:
    """Make the mended file of a revision, in mm as it is printed, and keep it; nothing is booked yet.

    Raises:
        ShopError: nothing in the model asks for this mend, or it cannot be done.
    """
    if mend not in mends_for(model.findings):
        raise ShopError(f"{model.file_name} does not need that: {mend.lower()}", "Look at its model again.")
    content = shop.files.get(model.sha256)
    read = shop.meshes.read_merged if mend is Mend.MERGE else shop.meshes.read
    mesh = scaled(read(content, model.file_name).mesh, model.unit_scale * SCALES.get(mend, 1.0))
    file = ModelFile(
        content=shop.mesh_writer.stl(mesh),
        name=mended_name(model.file_name, mend),
        turn=None if mend in SCALES and not model.turn else model.turn,
        source=model.source,
        licence=model.licence,
        mended=f"{DONE[mend]} from revision {model.revision}",
    )
    return prepare(shop, file)


def still_current(model: Model, now: int | None) -> None:
    """Turn away a mend of a revision that somebody replaced meanwhile.

    Raises:
        ShopError: the current model is another one.
    """
    if now != model.id:
        raise ShopError("The model was changed meanwhile", "Look at it again.")
