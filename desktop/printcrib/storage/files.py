"""The shop's files, whole or absent, named by their SHA-256."""

import os
import re
import secrets
from collections.abc import Callable
from hashlib import sha256 as sha256_of
from pathlib import Path
from typing import Protocol

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.records import THE_TOOL
from printcrib.core.shop import Attachment
from printcrib.services.interfaces import UnitOfWork, is_
from printcrib.services.press import Press

Write = Callable[[Press, str], UnitOfWork]
Read = Callable[[], UnitOfWork]
KEEP = "keep file"
"""The verb under which a file appears in the change record."""


class KeptFiles(Protocol):
    """The attachments of a shop, with what a check needs besides."""

    def put(self, content: bytes, kind: str) -> str:
        """Keep the bytes and give their SHA-256."""
        ...

    def get(self, sha256: str) -> bytes:
        """The bytes; raises NotFound."""
        ...

    def has(self, sha256: str) -> bool:
        """Whether the bytes are kept here."""
        ...


def not_kept() -> NotFound:
    """What a person is told whose file is not here."""
    return NotFound("That file is not kept here", "Take it again from where it came from.")


def damaged(sha256: str) -> ShopError:
    """What a person is told whose file is no longer what was kept."""
    return ShopError(
        f"The kept file {sha256[:12]} is damaged", "Put it back from a copy of the shop's folder."
    )


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that a cut at any moment leaves it whole or not there at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_name(f".{path.name}.{secrets.token_hex(8)}.half")
    try:
        with half.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        half.replace(path)
    except OSError as error:
        half.unlink(missing_ok=True)
        raise ShopError(
            "The shop's folder cannot be written", "Nothing was saved. Check the disk, then press again."
        ) from error
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make a new name in a folder last through a power cut; Windows has no way to ask for that."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def is_name(sha256: str) -> bool:
    """Whether the words are a SHA-256 at all, so that nothing else ever becomes a path."""
    return re.fullmatch(r"[0-9a-f]{64}", sha256) is not None


def row_of(read: Read, sha256: str) -> Attachment | None:
    """The line in the books for a file."""
    with read() as unit:
        return unit.attachments.one(is_("sha256", sha256))


class FolderFiles:
    """Files in a folder beside the shop's database; the file is there before its line in the books."""

    def __init__(self, folder: Path, write: Write, read: Read) -> None:
        self._folder, self._write, self._read = folder, write, read

    def put(self, content: bytes, kind: str) -> str:
        """Keep the bytes and give their SHA-256; the same bytes twice are kept once."""
        name = sha256_of(content).hexdigest()
        if not self._intact(name):
            write_whole(self._folder / name, content)
        if row_of(self._read, name) is None:
            with self._write(Press(who_id=THE_TOOL, station="files"), KEEP) as unit:
                if unit.attachments.one(is_("sha256", name)) is None:
                    unit.attachments.add(Attachment(sha256=name, bytes=len(content), kind=kind))
                    unit.commit()
        return name

    def _intact(self, name: str) -> bool:
        path = self._folder / name
        return path.is_file() and sha256_of(path.read_bytes()).hexdigest() == name

    def get(self, sha256: str) -> bytes:
        """The bytes; raises NotFound, or ShopError when the file is no longer what was kept."""
        if not self.has(sha256):
            raise not_kept()
        content = (self._folder / sha256).read_bytes()
        if sha256_of(content).hexdigest() != sha256:
            raise damaged(sha256)
        return content

    def has(self, sha256: str) -> bool:
        """Whether the bytes are kept here."""
        on_disk = is_name(sha256) and (self._folder / sha256).is_file()
        return on_disk and row_of(self._read, sha256) is not None
