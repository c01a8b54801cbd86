"""A backup taken under way is whole, and can be put back."""

import sqlite3
import threading
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from tests.services.fake import FakeClock
from tests.storage.conftest import Kept, kept_at

from printcrib.core.errors import ShopError
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.services.press import Press
from printcrib.storage import backup
from printcrib.storage.backup import faults_of_file, put_back
from printcrib.storage.books import open_books
from printcrib.storage.check import check_books

BACKUPS = 5


def test_backups_under_write_load_are_whole_and_one_is_put_back(shop_folder: Path, tmp_path: Path) -> None:
    kept = kept_at(shop_folder, FakeClock())
    assert kept.opened is not None
    kept.add("people", Person(name="Ann"))
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            kept.add("people", Person(name=f"Ben {number}"))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copies = [kept.opened.back_up() for _ in range(BACKUPS)]
    finally:
        stop.set()
        writer.join()
    kept.close()
    assert len(set(copies)) == BACKUPS
    assert all(faults_of_file(copy) == () for copy in copies)
    put_back(copies[-1], tmp_path / "again", FakeClock().now())
    again = open_books(tmp_path / "again", FakeClock(), create=False)
    before = open_books(shop_folder, FakeClock())
    assert check_books(again) == ()
    with again.read() as unit, before.read() as whole:
        kept_changes = unit.changes.since(0, 10_000)
        assert len(kept_changes) >= 1
        assert whole.changes.since(0, len(kept_changes)) == kept_changes
        assert unit.people.count() == len(kept_changes)
    again.close()
    before.close()


def test_putting_back_keeps_the_file_it_replaces(shop_folder: Path) -> None:
    kept = kept_at(shop_folder, FakeClock())
    assert kept.opened is not None
    ann = kept.add("people", Person(name="Ann"))
    copy = kept.opened.back_up()
    kept.save("people", replace(ann, name="Anna"))
    kept.close()
    put_back(copy, shop_folder, FakeClock().now())
    kept = kept_at(shop_folder, FakeClock())
    with kept.read() as unit:
        assert unit.people.get(ann.id).name == "Ann"
    kept.close()
    (replaced,) = shop_folder.glob("shop-replaced-*.db")
    with closing(sqlite3.connect(replaced)) as connection:
        assert connection.execute("SELECT name FROM people WHERE id = ?", [ann.id]).fetchall() == [("Anna",)]


def test_a_backup_that_is_not_sound_is_not_put_back(shop_folder: Path, tmp_path: Path) -> None:
    before = (shop_folder / "shop.db").read_bytes()
    rotten = tmp_path / "rotten.db"
    rotten.write_bytes(before[:4096] + b"\xff" * 8192 + before[12_288:])
    (tmp_path / "words.db").write_text("this is no database " * 500)
    for path in (rotten, tmp_path / "words.db", tmp_path / "missing.db"):
        with pytest.raises(ShopError, match=r"Nothing was changed\. Choose another backup\."):
            put_back(path, shop_folder, FakeClock().now())
    assert (shop_folder / "shop.db").read_bytes() == before


def test_a_backup_that_is_not_whole_is_not_kept(shop_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = kept_at(shop_folder, FakeClock())
    assert kept.opened is not None
    monkeypatch.setattr(backup, "faults_of_file", lambda _path: ("The file is damaged.",))
    with pytest.raises(ShopError, match="The backup is not whole"):
        kept.opened.back_up()
    kept.close()
    assert list((shop_folder / "backups").iterdir()) == []


def test_a_shop_on_a_server_says_who_backs_it_up(shop_url: str) -> None:
    kept = kept_at(shop_url, FakeClock())
    assert kept.opened is not None
    with pytest.raises(ShopError, match="looks after the server"):
        kept.opened.back_up()
    kept.close()


def test_nothing_half_done_is_left_beside_a_backup(shop_folder: Path) -> None:
    kept: Kept = kept_at(shop_folder, FakeClock())
    assert kept.opened is not None
    with kept.write(Press(who_id=THE_TOOL), "test") as unit:
        unit.people.add(Person(name="Ann"))
        copy = kept.opened.back_up()
        unit.commit()
    kept.close()
    assert list((shop_folder / "backups").iterdir()) == [copy]
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT count(*) FROM people WHERE id > 0").fetchone() == (0,)
