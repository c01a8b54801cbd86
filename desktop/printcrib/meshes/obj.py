"""Reads the points and faces of OBJ files; colours, normals and curves are passed over."""

import io
from array import array
from itertools import pairwise

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Floats, Indices
from printcrib.meshes.limits import MOST_TRIANGLES, SIMPLIFY, damaged


def read_obj(content: bytes, name: str) -> tuple[Floats, Indices]:
    """Corner points and triangles of an OBJ file; faces with more corners are cut into triangles.

    Raises:
        ShopError: damaged, or too many triangles.
    """
    points, corners = array("d"), array("q")
    pending = b""
    try:
        for raw in io.BytesIO(content):
            line = pending + raw
            if line.rstrip().endswith(b"\\"):
                pending = line.rstrip()[:-1] + b" "
                continue
            pending = b""
            words = line.split()
            if not words:
                continue
            if words[0] == b"v":
                points.extend((float(words[1]), float(words[2]), float(words[3])))
            elif words[0] == b"f":
                _add_face(corners, words[1:], len(points) // 3)
    except (ValueError, IndexError):
        raise damaged(name) from None
    if len(corners) > 3 * MOST_TRIANGLES:
        raise ShopError(f"{name} holds more than {MOST_TRIANGLES:,} triangles", SIMPLIFY)
    faces = np.frombuffer(corners, dtype=np.int64).reshape(-1, 3) if corners else np.zeros((0, 3), np.int64)
    vertices = np.frombuffer(points, dtype=np.float64).reshape(-1, 3) if points else np.zeros((0, 3))
    if len(faces) and (faces.min() < 0 or faces.max() >= len(vertices)):
        raise damaged(name)
    return vertices, faces


def _add_face(corners: "array[int]", words: list[bytes], points: int) -> None:
    """Cut a face into triangles from its first corner; numbers count from 1, negative ones from the end."""
    numbers = [int(word.split(b"/", 1)[0]) for word in words]
    places = [number - 1 if number > 0 else points + number for number in numbers]
    for second, third in pairwise(places[1:]):
        corners.extend((places[0], second, third))
