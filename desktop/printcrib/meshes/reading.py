"""From the bytes of a model file to its welded surface and the facts about it; runs in the limited child."""

from printcrib.core.bodies import judge_bodies
from printcrib.core.errors import ShopError
from printcrib.core.holes import closed_up
from printcrib.core.shapes import (
    ModelKind,
    ReadModel,
    facts_of,
    refuse_unusable,
    signed_volume_mm3,
    turned_outside_out,
)
from printcrib.meshes.bodies import body_of_face
from printcrib.meshes.limits import EXPORT_AGAIN, MOST_FILE_BYTES, SAVE_AS, SIMPLIFY, shown_name
from printcrib.meshes.obj import read_obj
from printcrib.meshes.step import read_step
from printcrib.meshes.stl import read_stl
from printcrib.meshes.threemf import read_3mf
from printcrib.meshes.welding import welded

ENDINGS: dict[str, ModelKind] = {
    ".stl": "stl",
    ".3mf": "3mf",
    ".obj": "obj",
    ".step": "step",
    ".stp": "step",
    ".p21": "step",
}
READERS = {"stl": read_stl, "3mf": read_3mf, "obj": read_obj, "step": read_step}
STEP_BEGINS = b"ISO-10303-21;"


def refuse_at_sight(content: bytes, name: str) -> None:
    """Turn away what need not be read at all.

    Raises:
        ShopError: empty, too large, or of a kind that is not read here.
    """
    shown = shown_name(name)
    if len(content) > MOST_FILE_BYTES:
        size = len(content) / 2**20
        raise ShopError(f"{shown} is {size:,.0f} MB, more than the 128 MB read here", SIMPLIFY)
    if not content:
        raise ShopError(f"{shown} is empty", EXPORT_AGAIN)
    kind_of(content, name)


def kind_of(content: bytes, name: str) -> ModelKind:
    """Which kind of model file this is, by its ending, or by its first bytes where they say more.

    Raises:
        ShopError: a kind that is not read here.
    """
    shown, ending = shown_name(name), "." + name.lower().rpartition(".")[2]
    if content.startswith(b"PK\x03\x04") and ending in ENDINGS:
        return "3mf"
    if content[:64].lstrip().startswith(STEP_BEGINS):
        return "step"
    if ending in ENDINGS:
        return ENDINGS[ending]
    raise ShopError(f"{shown} is not a kind of model file this reads", SAVE_AS)


def read_model(content: bytes, name: str) -> ReadModel:
    """Read, weld and judge a model file.

    Raises:
        ShopError: the file is refused; the sentence says why and what to do.
    """
    refuse_at_sight(content, name)
    shown, kind = shown_name(name), kind_of(content, name)
    vertices, faces = READERS[kind](content, shown)
    refuse_unusable(vertices, faces, shown)
    mesh, faults = welded(vertices, faces)
    closed = not faults.open_edges and not faults.same_direction
    refuse_unusable(mesh.vertices, mesh.faces, shown)
    volume = signed_volume_mm3(mesh if closed else closed_up(mesh))
    facts = facts_of(mesh, shown, faults=faults, volume_mm3=volume)
    if volume < 0:
        mesh = turned_outside_out(mesh)
    if facts.volume_cm3 and closed:
        mesh, facts = judge_bodies(mesh, facts, body_of_face(mesh))
    return ReadModel(mesh, facts, kind)
