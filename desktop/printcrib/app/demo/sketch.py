"""A pencil sketch of a bracket as somebody would photograph it; drawn here, so that it is nobody else's."""

import itertools
import struct
import zlib
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Page = NDArray[np.float64]
WIDTH, HEIGHT = 720, 540
PAPER, PENCIL, LAMP = 236, 70, 26
"""Grey levels: of the paper, of the pencil, and how much darker the corners are than the middle."""


def bracket_sketch() -> bytes:
    """The sketch as a PNG photo."""
    down, right = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float64)
    off_centre = np.hypot(right - WIDTH * 0.45, down - HEIGHT * 0.4) / WIDTH
    page = PAPER - LAMP * off_centre * 2
    for start, end in _strokes():
        page = np.where(_near(right, down, start, end) < 2.2, PENCIL, page)
    for centre, radius in (((235, 300), 34.0), ((520, 300), 22.0)):
        ring = np.abs(np.hypot(right - centre[0], down - centre[1]) - radius)
        page = np.where(ring < 2.0, PENCIL, page)
    return png(np.clip(page, 0, 255).astype(np.uint8))


def _strokes() -> Iterable[tuple[Point, Point]]:
    """Outline of a bracket, a hidden edge and two dimension lines."""
    outline = [(130, 200), (330, 196), (352, 250), (610, 254), (608, 352), (128, 356), (130, 200)]
    yield from itertools.pairwise(outline)
    yield from (((start, 402.0), (start + 22, 402.0)) for start in range(132, 600, 34))
    yield from (((128, 440), (610, 440)), ((128, 428), (128, 452)), ((610, 428), (610, 452)))
    yield from (((84, 200), (84, 356)), ((72, 200), (96, 200)), ((72, 356), (96, 356)))


def _near(right: Page, down: Page, start: Point, end: Point) -> Page:
    """Distance of every dot of the page from a stroke."""
    along = np.array(end) - np.array(start)
    share = ((right - start[0]) * along[0] + (down - start[1]) * along[1]) / float(along @ along)
    share = np.clip(share, 0.0, 1.0)
    off: Page = np.hypot(right - start[0] - share * along[0], down - start[1] - share * along[1])
    return off


def png(grey: NDArray[np.uint8]) -> bytes:
    """A grey picture as PNG (one filter byte a line, ISO/IEC 15948)."""
    height, width = grey.shape
    lines = np.hstack([np.zeros((height, 1), np.uint8), grey]).tobytes()
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    pieces = ((b"IHDR", head), (b"IDAT", zlib.compress(lines, 6)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_piece(kind, content) for kind, content in pieces)


def _piece(kind: bytes, content: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + content))
    return struct.pack(">I", len(content)) + kind + content + check
