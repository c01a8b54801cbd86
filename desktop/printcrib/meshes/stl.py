"""Reads STL files, binary and text."""

import re
import warnings
from collections.abc import Iterator

import numpy as np

from printcrib.core.errors import ShopError
from printcrib.core.shapes import Floats, Indices
from printcrib.meshes.limits import EXPORT_AGAIN, damaged

HEADER_BYTES = 84
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("colour", "<u2")])
VERTEX = re.compile(rb"\bvertex\s+(\S+\s+\S+\s+\S+)", re.IGNORECASE)
END_OF_FACET = re.compile(rb"\bendfacet\b", re.IGNORECASE)
CHUNK_BYTES = 8 * 1024 * 1024


def read_stl(content: bytes, name: str) -> tuple[Floats, Indices]:
    """Corner points and triangles of an STL file, three points a triangle.

    Raises:
        ShopError: damaged, cut short, or not STL at all.
    """
    promised = int.from_bytes(content[80:84], "little") if len(content) >= HEADER_BYTES else -1
    if promised >= 0 and len(content) == HEADER_BYTES + promised * RECORD.itemsize:
        return _soup(_binary(content, promised))
    if content[:256].lstrip().lower().startswith(b"solid"):
        return _soup(_text(content, name))
    if promised < 0:
        raise damaged(name)
    held = (len(content) - HEADER_BYTES) // RECORD.itemsize
    if held < promised:
        if held > 0 and promised <= 50 * held:
            raise ShopError(f"{name} is cut short: it holds {held} of {promised} triangles", EXPORT_AGAIN)
        raise damaged(name)
    return _soup(_binary(content, promised))


def _soup(corners: Floats) -> tuple[Floats, Indices]:
    return corners, np.arange(len(corners), dtype=np.int64).reshape(-1, 3)


def _binary(content: bytes, triangles: int) -> Floats:
    records = np.frombuffer(content, dtype=RECORD, count=triangles, offset=HEADER_BYTES)
    return np.asarray(records["corners"].reshape(-1, 3), dtype=np.float64)


def _text(content: bytes, name: str) -> Floats:
    parts = [_numbers(chunk, name) for chunk in _chunks(content)]
    values = np.concatenate(parts) if parts else np.zeros(0)
    if len(values) % 9:
        raise ShopError(f"{name} is cut short within a triangle", EXPORT_AGAIN)
    return values.reshape(-1, 3)


def _chunks(content: bytes) -> Iterator[bytes]:
    """The text in pieces that end with a whole facet, so that memory stays small."""
    begin = 0
    while begin < len(content):
        end = len(content)
        if end - begin > CHUNK_BYTES:
            found = END_OF_FACET.search(content, begin + CHUNK_BYTES)
            end = found.end() if found else end
        yield content[begin:end]
        begin = end


def _numbers(text: bytes, name: str) -> Floats:
    words = b" ".join(VERTEX.findall(text)).split()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            return np.array(words, dtype=np.bytes_).astype(np.float64) if words else np.zeros(0)
    except (ValueError, DeprecationWarning):
        raise damaged(name) from None
