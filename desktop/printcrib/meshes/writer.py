"""Writes models out: one as STL, a whole platform of copies as one 3MF."""

import io
import zipfile
from collections.abc import Iterable
from xml.sax.saxutils import quoteattr

import numpy as np

from printcrib.core.shapes import Mesh
from printcrib.meshes.stl import RECORD

Placed = tuple[str, Mesh, tuple[float, float]]

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)
NO_DATE = (1980, 1, 1, 0, 0, 0)  # the same platform gives the same bytes


class ModelWriter:
    """Writes copies in place for whatever makes the print file; the services' ``MeshWriter``."""

    def one_3mf(self, items: tuple[Placed, ...]) -> bytes:
        """One 3MF with each named mesh at its corner (x, y) on the platform, millimetres."""
        return write_3mf(items)

    def stl(self, mesh: Mesh) -> bytes:
        """A binary STL."""
        return write_stl(mesh)


def write_stl(mesh: Mesh) -> bytes:
    """A model as a binary STL file, in mm."""
    corners = mesh.vertices[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    records = np.zeros(len(mesh.faces), dtype=RECORD)
    records["normal"] = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    records["corners"] = corners
    header = b"model in millimetres".ljust(80)
    return header + len(records).to_bytes(4, "little") + records.tobytes()


def write_3mf(items: Iterable[Placed]) -> bytes:
    """Copies in place on a platform as one 3MF file (core specification, millimetres).

    The same mesh given several times is written once. The same items give the same bytes.

    Args:
        items: name, mesh, and where the low corner of its bounding box lies on the platform, in mm;
            every copy stands on the platform.
    """
    objects: dict[tuple[str, bytes, bytes], int] = {}
    resources: list[str] = []
    build: list[str] = []
    for name, mesh, corner in items:
        key = (name, mesh.vertices.tobytes(), mesh.faces.tobytes())
        number = objects.setdefault(key, len(objects) + 1)
        if number > len(resources):
            resources.append(_object(number, name, mesh))
        low = mesh.vertices.min(axis=0)
        place = " ".join(f"{value:.5f}" for value in (corner[0] - low[0], corner[1] - low[1], -low[2]))
        build.append(f'<item objectid="{number}" transform="1 0 0 0 1 0 0 0 1 {place}"/>')
    model = (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en" xmlns="{CORE}">\n'
        f"<resources>\n{''.join(resources)}</resources>\n<build>\n"
        + "\n".join(build)
        + "\n</build>\n</model>\n"
    )
    return _package(
        {"[Content_Types].xml": CONTENT_TYPES, "_rels/.rels": RELATIONS, "3D/3dmodel.model": model}
    )


def _object(number: int, name: str, mesh: Mesh) -> str:
    clean = "".join(letter for letter in name if letter.isprintable())
    points = "\n".join(f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in mesh.vertices.tolist())
    faces = "\n".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist())
    return (
        f'<object id="{number}" type="model" name={quoteattr(clean)}><mesh>\n'
        f"<vertices>\n{points}\n</vertices>\n<triangles>\n{faces}\n</triangles>\n</mesh></object>\n"
    )


def _package(members: dict[str, str]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for path, text in members.items():
            info = zipfile.ZipInfo(path, date_time=NO_DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 3
            package.writestr(info, text.encode())
    return held.getvalue()
