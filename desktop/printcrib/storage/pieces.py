"""Files kept in the shop's database, in pieces, with a folder of this computer to read them from again."""

from hashlib import sha256 as sha256_of
from pathlib import Path
from typing import cast

from sqlalchemy import insert, select

from printcrib.core.records import THE_TOOL
from printcrib.core.shop import Attachment
from printcrib.services.interfaces import is_
from printcrib.services.press import Press
from printcrib.storage.files import KEEP, Read, Write, damaged, is_name, not_kept, row_of, write_whole
from printcrib.storage.tables import PIECES
from printcrib.storage.unit import StoredUnit

PIECE_BYTES = 1024 * 1024


class DatabaseFiles:
    """Files as rows of at most 1 MiB, whole or absent by the transaction they are written in.

    Args:
        cache: folder for copies by hash; None reads from the database each time.
    """

    def __init__(self, write: Write, read: Read, cache: Path | None = None) -> None:
        self._write, self._read, self._cache = write, read, cache

    def put(self, content: bytes, kind: str) -> str:
        """Keep the bytes and give their SHA-256; the same bytes twice are kept once."""
        name = sha256_of(content).hexdigest()
        if self.has(name):
            return name
        with self._write(Press(who_id=THE_TOOL, station="files"), KEEP) as unit:
            if unit.attachments.one(is_("sha256", name)) is None:
                kept = unit.attachments.add(Attachment(sha256=name, bytes=len(content), kind=kind))
                for ordinal, start in enumerate(range(0, len(content), PIECE_BYTES)):
                    piece = content[start : start + PIECE_BYTES]
                    values = {"attachment_id": kept.id, "ordinal": ordinal, "content": piece}
                    cast(StoredUnit, unit).tell(insert(PIECES), values)
                unit.commit()
        return name

    def get(self, sha256: str) -> bytes:
        """The bytes; raises NotFound, or ShopError when they are no longer what was kept."""
        if not is_name(sha256):
            raise not_kept()
        cached = self._cached(sha256)
        if cached is not None:
            return cached
        content = self._joined(sha256)
        if sha256_of(content).hexdigest() != sha256:
            raise damaged(sha256)
        if self._cache is not None:
            write_whole(self._cache / sha256, content)
        return content

    def _cached(self, sha256: str) -> bytes | None:
        if self._cache is None or not (self._cache / sha256).is_file():
            return None
        content = (self._cache / sha256).read_bytes()
        return content if sha256_of(content).hexdigest() == sha256 else None

    def _joined(self, sha256: str) -> bytes:
        with self._read() as unit:
            kept = unit.attachments.one(is_("sha256", sha256))
            if kept is None:
                raise not_kept()
            mine = select(PIECES.c.content).where(PIECES.c.attachment_id == kept.id)
            rows = cast(StoredUnit, unit).ask(mine.order_by(PIECES.c.ordinal)).scalars()
            return b"".join(rows)

    def has(self, sha256: str) -> bool:
        """Whether the bytes are kept here."""
        return is_name(sha256) and row_of(self._read, sha256) is not None
