"""The XML parts inside a 3MF package: objects, components, build items, units."""

import zipfile
from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Floats, Indices
from printcrib.meshes.limits import EXPORT_AGAIN, damaged

Key = tuple[str, str]
UNITS_MM = {
    "micron": 0.001,
    "millimeter": 1.0,
    "centimeter": 10.0,
    "inch": 25.4,
    "foot": 304.8,
    "meter": 1000.0,
}
MODEL_RELATION = "/3dmodel"
PRINTED_TYPES = frozenset({"model", "solidsupport"})


@dataclass(frozen=True, eq=False)
class Reference:
    """An object named by a build item or a component, with its place.

    Attributes:
        path: part that holds the object.
        number: its id there.
        matrix: 4 x 4, for points as rows.
    """

    path: str
    number: str
    matrix: Floats


@dataclass(eq=False)
class Body:
    """One object of a part."""

    printed: bool
    points: "array[float]" = field(default_factory=lambda: array("d"))
    corners: "array[int]" = field(default_factory=lambda: array("q"))
    components: list[Reference] = field(default_factory=list)
    vertices: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    faces: Indices = field(default_factory=lambda: np.zeros((0, 3), dtype=np.int64))


@dataclass(eq=False)
class ModelPart:
    """What one XML part says."""

    unit_mm: float = 1.0
    objects: dict[Key, Body] = field(default_factory=dict)
    items: list[Reference] = field(default_factory=list)

    def other_paths(self) -> list[str]:
        """Parts named by this one."""
        references = self.items + [one for body in self.objects.values() for one in body.components]
        return sorted({reference.path for reference in references})

    def top_objects(self) -> list[Reference]:
        """Objects no other object uses, for a file that forgot to say what to build."""
        used = {(one.path, one.number) for body in self.objects.values() for one in body.components}
        return [Reference(*key, np.eye(4)) for key in self.objects if key not in used]


def root_part_name(package: zipfile.ZipFile, members: Mapping[str, zipfile.ZipInfo], name: str) -> str | None:
    """Path of the model part: the one the package's relations name, else the first .model file."""
    found: list[str] = []

    def on_start(tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(":")[2] == "Relationship" and attributes.get("Type", "").lower().endswith(
            MODEL_RELATION
        ):
            found.append(attributes.get("Target", "").lstrip("/").lower())

    relations = members.get("_rels/.rels")
    if relations is not None:
        try:
            _parser(on_start, name).Parse(package.read(relations), True)
        except expat.ExpatError:
            found.clear()
    if found and found[0] in members:
        return found[0]
    return next((path for path in sorted(members) if path.endswith(".model")), None)


def read_part(text: bytes, path: str, root: str, name: str) -> ModelPart:
    """Objects, components and build items of one XML part.

    Raises:
        ShopError: not XML, with a document type, or breaking the format.
    """
    reading = PartReading(path)
    try:
        _parser(reading.on_start, name).Parse(text, True)
        for body in reading.part.objects.values():
            _finish(body, name)
    except (expat.ExpatError, ValueError, KeyError, OverflowError):
        raise damaged(name) from None
    if path == root and not reading.seen_model:
        raise damaged(name)
    return reading.part


def _parser(on_start: object, name: str) -> expat.XMLParserType:
    def refuse_doctype(*_: object) -> None:
        raise ShopError(f"{name} holds a document type, which models never need", EXPORT_AGAIN)

    parser = expat.ParserCreate()
    parser.StartElementHandler = on_start  # type: ignore[assignment]
    parser.StartDoctypeDeclHandler = refuse_doctype
    parser.buffer_text = True
    return parser


def _finish(body: Body, name: str) -> None:
    body.vertices = np.array(body.points, dtype=np.float64).reshape(-1, 3)
    body.faces = np.array(body.corners, dtype=np.int64).reshape(-1, 3)
    body.points, body.corners = array("d"), array("q")
    if len(body.faces) and (body.faces.min() < 0 or body.faces.max() >= len(body.vertices)):
        raise damaged(name)


class PartReading:
    """Collects a part while its XML goes by.

    Attributes:
        part: what was read so far.
        seen_model: the part is a model at all.
    """

    def __init__(self, path: str) -> None:
        self.part = ModelPart()
        self.seen_model = False
        self._path = path
        self._body = Body(printed=False)

    def on_start(self, tag: str, given: dict[str, str]) -> None:
        """Take one opening tag; tags of extensions that do not matter here pass by."""
        if tag == "vertex":
            self._body.points.extend((float(given["x"]), float(given["y"]), float(given["z"])))
        elif tag == "triangle":
            self._body.corners.extend((int(given["v1"]), int(given["v2"]), int(given["v3"])))
        else:
            self._on_other(tag.rpartition(":")[2], given)

    def _on_other(self, tag: str, given: dict[str, str]) -> None:
        if tag in ("vertex", "triangle"):
            self.on_start(tag, given)
        elif tag == "object":
            self._body = Body(printed=given.get("type", "model") in PRINTED_TYPES)
            self.part.objects[(self._path, given["id"])] = self._body
        elif tag == "component":
            self._body.components.append(self._reference(given))
        elif tag == "item":
            self.part.items.append(self._reference(given))
        elif tag == "model":
            self.seen_model = True
            self.part.unit_mm = UNITS_MM[given.get("unit", "millimeter").lower()]

    def _reference(self, given: dict[str, str]) -> Reference:
        path = next((value for key, value in given.items() if key.rpartition(":")[2] == "path"), None)
        elsewhere = path.lstrip("/").lower() if path else self._path
        return Reference(elsewhere, given["objectid"], _matrix(given.get("transform", "")))


def _matrix(text: str) -> Floats:
    matrix = np.eye(4)
    if text.strip():
        matrix[:, :3] = np.array([float(word) for word in text.split()]).reshape(4, 3)
    return matrix
