"""The shop's files: one suite for every store."""

import os
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import select, update
from tests.services.fake import FakeClock
from tests.storage.conftest import Kept, in_memory, kept_at
from tests.storage.test_migrations import engine_of

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.records import THE_TOOL
from printcrib.services.press import Press
from printcrib.storage.pieces import PIECE_BYTES, DatabaseFiles
from printcrib.storage.tables import PIECES

CONTENTS = (b"", b"solid cube", os.urandom(PIECE_BYTES), os.urandom(2 * PIECE_BYTES + 17))


STORES = ("memory", "folder", "pieces in a file", "pieces on a server")


@pytest.fixture(params=STORES)
def store(request: pytest.FixtureRequest, clock: FakeClock, tmp_path: Path) -> Iterator[Kept]:
    """A shop with each kind of store; pieces have a cache beside them."""
    if request.param == "memory":
        yield in_memory(clock)
        return
    server = request.param == STORES[3]
    kept = kept_at(
        request.getfixturevalue("shop_url" if server else "shop_folder"), clock, tmp_path / "cache"
    )
    if request.param == STORES[2]:
        kept.files = DatabaseFiles(kept.write, kept.read, tmp_path / "cache")
    yield kept
    kept.close()


def test_bytes_come_back_as_they_went_in(store: Kept) -> None:
    for content in CONTENTS:
        name = store.files.put(content, "model")
        assert name == sha256(content).hexdigest()
        assert store.files.has(name)
        assert store.files.get(name) == content
        assert store.files.get(name) == content
    with store.read() as unit:
        assert [each.bytes for each in unit.attachments.find()] == [len(content) for content in CONTENTS]
        assert {each.kind for each in unit.attachments.find()} == {"model"}
        assert {change.verb for change in unit.changes.since(0)} == {"keep file"}


def test_the_same_bytes_twice_are_kept_once(store: Kept) -> None:
    assert store.files.put(b"solid", "model") == store.files.put(b"solid", "photo")
    with store.read() as unit:
        assert unit.attachments.count() == 1


@pytest.mark.parametrize("name", ["0" * 64, "", "../shop.db", "A" * 64, "0" * 63 + "\n"])
def test_what_is_not_kept_is_not_found_and_no_path_leads_elsewhere(store: Kept, name: str) -> None:
    assert not store.files.has(name)
    with pytest.raises(NotFound, match="not kept here"):
        store.files.get(name)


def test_a_file_is_not_kept_inside_a_writing_unit(store: Kept) -> None:
    with store.write(Press(who_id=THE_TOOL), "test"), pytest.raises(RuntimeError):
        store.files.put(b"solid", "model")
    assert not store.files.has(sha256(b"solid").hexdigest())
    store.files.put(b"solid", "model")
    assert store.files.get(sha256(b"solid").hexdigest()) == b"solid"


@pytest.fixture
def folder(shop_folder: Path) -> Iterator[Kept]:
    """A shop in a folder."""
    kept = kept_at(shop_folder, FakeClock())
    yield kept
    kept.close()


def test_a_file_that_was_altered_is_refused_and_mended_by_keeping_it_again(
    folder: Kept, shop_folder: Path
) -> None:
    name = folder.files.put(b"solid cube", "model")
    (shop_folder / "files" / name).write_bytes(b"solid cubes")
    with pytest.raises(ShopError, match="is damaged"):
        folder.files.get(name)
    folder.files.put(b"solid cube", "model")
    assert folder.files.get(name) == b"solid cube"
    (shop_folder / "files" / name).unlink()
    assert not folder.files.has(name)
    folder.files.put(b"solid cube", "model")
    assert folder.files.get(name) == b"solid cube"


def test_a_file_without_its_line_is_not_there(folder: Kept, shop_folder: Path) -> None:
    name = sha256(b"solid").hexdigest()
    (shop_folder / "files" / name).write_bytes(b"solid")
    assert not folder.files.has(name)
    with pytest.raises(NotFound):
        folder.files.get(name)
    folder.files.put(b"solid", "model")
    assert folder.files.has(name)


def test_a_file_that_cannot_be_written_leaves_nothing(
    folder: Kept, shop_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ShopError, match=r"cannot be written\. Nothing was saved"):
        folder.files.put(b"solid", "model")
    assert list((shop_folder / "files").iterdir()) == []
    with folder.read() as unit:
        assert unit.attachments.count() == 0


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no way to ask for it")
def test_the_file_and_its_folder_are_on_the_disk_before_the_line(
    folder: Kept, shop_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    synced, replaced, write = os.fsync, Path.replace, folder.write

    def fsync(handle: int) -> None:
        steps.append("sync folder" if os.fstat(handle).st_mode & 0o040000 else "sync file")
        synced(handle)

    def replace(half: Path, path: Path) -> Path:
        assert half.parent == path.parent == shop_folder / "files"
        steps.append("name")
        return replaced(half, path)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(Path, "replace", replace)

    def line(press: Press, verb: str) -> object:
        steps.append("line")
        return write(press, verb)

    monkeypatch.setattr(folder.files, "_write", line)
    folder.files.put(b"solid", "model")
    assert steps == ["sync file", "name", "sync folder", "line"]


def test_pieces_are_at_most_one_mebibyte_and_damage_shows(database: Kept, tmp_path: Path) -> None:
    kept = DatabaseFiles(database.write, database.read)
    name = kept.put(CONTENTS[3], "model")
    engine = engine_of(database)
    with engine.begin() as connection:
        sizes = [
            len(row[0]) for row in connection.execute(select(PIECES.c.content).order_by(PIECES.c.ordinal))
        ]
        assert sizes == [PIECE_BYTES, PIECE_BYTES, 17]
    cached = DatabaseFiles(database.write, database.read, tmp_path / "cache")
    assert cached.get(name) == CONTENTS[3]
    with engine.begin() as connection:
        connection.execute(update(PIECES).where(PIECES.c.ordinal == 2).values(content=b"x" * 17))
    engine.dispose()
    with pytest.raises(ShopError, match="is damaged"):
        kept.get(name)
    assert cached.get(name) == CONTENTS[3]
    (tmp_path / "cache" / name).write_bytes(b"rotten")
    with pytest.raises(ShopError, match="is damaged"):
        cached.get(name)
