"""Model files for tests, written here so that the project's own writer is not its own witness."""

import io
import struct
import zipfile

import numpy as np

from printcrib.core.shapes import Mesh

NAMESPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RELATIONS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="r0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
)


def binary_stl(mesh: Mesh) -> bytes:
    """Binary STL."""
    rows = [struct.pack("<12fH", 0, 0, 0, *mesh.vertices[face].ravel(), 0) for face in mesh.faces]
    return b"made by a test".ljust(80) + struct.pack("<I", len(rows)) + b"".join(rows)


def text_stl(mesh: Mesh) -> bytes:
    """Text STL."""
    lines = ["solid test"]
    for face in mesh.faces:
        lines += [" facet normal 0 0 0", "  outer loop"]
        lines += [
            "   vertex " + " ".join(f"{value:.7e}" for value in mesh.vertices[corner]) for corner in face
        ]
        lines += ["  endloop", " endfacet"]
    return "\n".join([*lines, "endsolid test", ""]).encode()


def obj(mesh: Mesh) -> bytes:
    """OBJ with points and triangles."""
    points = ["v " + " ".join(repr(float(value)) for value in vertex) for vertex in mesh.vertices]
    faces = ["f " + " ".join(str(corner + 1) for corner in face) for face in mesh.faces]
    return "\n".join(["# test", *points, "s off", *faces, ""]).encode()


def mesh_xml(mesh: Mesh) -> str:
    """The mesh element of a 3MF object."""
    points = "".join(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in mesh.vertices.tolist())
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist())
    return f"<mesh><vertices>{points}</vertices><triangles>{faces}</triangles></mesh>"


def model_xml(resources: str, build: str, unit: str = "millimeter", extra: str = "") -> str:
    """A 3MF model part."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{extra}<model unit="{unit}" xmlns="{NAMESPACE}" '
        'xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06">'
        f"<resources>{resources}</resources><build>{build}</build></model>"
    )


def package(members: dict[str, str | bytes], compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A ZIP of named members."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", compression) as archive:
        for path, content in members.items():
            archive.writestr(path, content)
    return held.getvalue()


def threemf(xml: str, **more: str | bytes) -> bytes:
    """A 3MF with one model part."""
    return package({"_rels/.rels": RELATIONS, "3D/3dmodel.model": xml, **more})


def simple_3mf(mesh: Mesh, unit: str = "millimeter") -> bytes:
    """One object, built once."""
    return threemf(model_xml(f'<object id="1">{mesh_xml(mesh)}</object>', '<item objectid="1"/>', unit))


def mutated(content: bytes, chance: np.random.Generator) -> bytes:
    """The file with a few bytes changed, cut out, doubled, or its end missing."""
    held = bytearray(content)
    for _ in range(int(chance.integers(1, 4))):
        place = int(chance.integers(0, max(1, len(held))))
        length = int(chance.integers(1, 40))
        match int(chance.choice([0, 0, 0, 0, 3, 3, 3, 1, 2, 4, 5])):
            case 0:
                held[place : place + 1] = bytes([int(chance.integers(0, 256))])
            case 1:
                del held[place : place + length]
            case 2:
                held[place:place] = held[place : place + length]
            case 3:
                held[place : place + 4] = chance.bytes(4)
            case 4:
                held[place:place] = chance.choice(
                    [b"nan", b"1e999", b"-", b"\x00" * 8, b"\xff" * 8, b"<", b"99999999"]
                )
            case _:
                del held[place + length * 50 :]
    return bytes(held)
