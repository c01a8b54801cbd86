"""Reads 3MF files: a ZIP of XML parts, checked before anything is unpacked."""

import io
import zipfile
import zlib
from dataclasses import dataclass, field

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Floats, Indices
from printcrib.meshes.limits import (
    EXPORT_AGAIN,
    MOST_MEMBERS,
    MOST_RATIO,
    MOST_TRIANGLES,
    MOST_UNPACKED_BYTES,
    SIMPLIFY,
    damaged,
)
from printcrib.meshes.threemf_xml import Key, ModelPart, Reference, read_part, root_part_name

DEEPEST = 16
PACKAGE_FAULTS = (zipfile.BadZipFile, zlib.error, OSError, ValueError, EOFError, KeyError, RuntimeError)


@dataclass
class Assembly:
    """Bodies put in place so far, and how many triangles they make."""

    vertices: list[Floats] = field(default_factory=list)
    faces: list[Indices] = field(default_factory=list)
    points: int = 0
    triangles: int = 0


def read_3mf(content: bytes, name: str) -> tuple[Floats, Indices]:
    """Corner points in mm and triangles of everything the file puts on the platform, merged.

    Raises:
        ShopError: damaged, encrypted, or larger than may be unpacked.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            refuse_bomb(package, len(content), name)
            parts = _needed_parts(package, name)
    except PACKAGE_FAULTS:
        raise damaged(name) from None
    return _assembled(parts, name)


def refuse_bomb(package: zipfile.ZipFile, size: int, name: str) -> None:
    """Judge a package by its directory alone.

    Raises:
        ShopError: too many members, too large unpacked, packed too densely, or encrypted.
    """
    members = package.infolist()
    unpacked = sum(member.file_size for member in members)
    if len(members) > MOST_MEMBERS:
        raise ShopError(f"{name} holds {len(members)} files, more than a model needs", EXPORT_AGAIN)
    if unpacked > MOST_UNPACKED_BYTES:
        raise ShopError(f"{name} unpacks to {unpacked / 2**20:,.0f} MB, more than is read here", SIMPLIFY)
    if unpacked > MOST_RATIO * size:
        raise ShopError(f"{name} unpacks to more than {MOST_RATIO} times its size", EXPORT_AGAIN)
    if any(member.flag_bits & 1 for member in members):
        raise ShopError(f"{name} is locked with a password", "Save it without one.")


def _needed_parts(package: zipfile.ZipFile, name: str) -> dict[str, ModelPart]:
    """The root part and every part its components name, by path."""
    members = {member.filename.lstrip("/").lower(): member for member in package.infolist()}
    root = root_part_name(package, members, name)
    if root is None:
        raise damaged(name)
    parts: dict[str, ModelPart] = {}
    waiting = [root]
    while waiting:
        path = waiting.pop()
        if path in parts:
            continue
        if path not in members:
            raise damaged(name)
        parts[path] = read_part(package.read(members[path]), path, root, name)
        waiting += parts[path].other_paths()
    return parts


def _assembled(parts: dict[str, ModelPart], name: str) -> tuple[Floats, Indices]:
    root = next(iter(parts.values()))
    assembly = Assembly()
    for item in root.items or root.top_objects():
        _place(assembly, parts, item, np.eye(4), name, 0)
    if not assembly.faces:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    return np.concatenate(assembly.vertices) * root.unit_mm, np.concatenate(assembly.faces)


def _place(
    assembly: Assembly, parts: dict[str, ModelPart], what: Reference, frame: Floats, name: str, depth: int
) -> None:
    """Add an object and all its components, moved into place."""
    key: Key = (what.path, what.number)
    owner = parts.get(what.path)
    body = owner.objects.get(key) if owner else None
    if body is None or depth > DEEPEST:
        raise damaged(name)
    if not body.printed:
        return
    here = what.matrix @ frame
    assembly.triangles += len(body.faces) + 1
    if assembly.triangles > MOST_TRIANGLES:
        raise ShopError(f"{name} unfolds to more than {MOST_TRIANGLES:,} triangles", SIMPLIFY)
    if len(body.faces):
        with np.errstate(all="ignore"):
            assembly.vertices.append(body.vertices @ here[:3, :3] + here[3, :3])
            mirrored = np.linalg.det(here[:3, :3]) < 0
        faces = body.faces[:, ::-1] if mirrored else body.faces
        assembly.faces.append(faces + assembly.points)
        assembly.points += len(body.vertices)
    for component in body.components:
        _place(assembly, parts, component, here, name, depth + 1)
