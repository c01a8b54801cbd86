"""Opening a shop, and what a person is told when that or a press does not go."""

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError, ProgrammingError
from tests.services.fake import FakeClock
from tests.storage.conftest import Kept

from printcrib.core.errors import ShopError
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.services.press import Press
from printcrib.storage import books, engines
from printcrib.storage.books import OpenBooks, open_books
from printcrib.storage.check import check_books
from printcrib.storage.refusals import in_words
from printcrib.storage.unit import spoken


def test_a_new_shop_is_a_folder_with_its_three_places(tmp_path: Path) -> None:
    home = tmp_path / "new" / "shop"
    opened = open_books(home, FakeClock())
    assert opened.home == home
    assert {path.name for path in home.iterdir()} >= {"shop.db", "files", "backups"}
    assert check_books(opened) == ()
    opened.close()
    again = open_books(home / "shop.db", FakeClock(), create=False)
    assert again.home == home
    again.close()
    assert list((home / "backups").iterdir()) == []


def test_no_shop_is_made_where_one_was_to_be_opened(tmp_path: Path) -> None:
    with pytest.raises(ShopError, match="There is no shop in"):
        open_books(tmp_path / "typo", FakeClock(), create=False)
    assert not (tmp_path / "typo").exists()


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(ShopError, match="Choose another place"):
        open_books(tmp_path / "file" / "shop", FakeClock())


@pytest.mark.parametrize("content", [b"this is no database " * 300, b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_damaged_file_is_said_and_left_as_it_is(shop_folder: Path, content: bytes) -> None:
    (shop_folder / "shop.db").write_bytes(content)
    with pytest.raises(ShopError, match=r"damaged\. Close the window and put back a copy from backups"):
        open_books(shop_folder, FakeClock())
    assert (shop_folder / "shop.db").read_bytes() == content


@pytest.mark.parametrize("url", ["mysql://here/shop", "postgresql://host:port/shop", "://"])
def test_an_address_of_something_else_is_said(url: str) -> None:
    with pytest.raises(ShopError, match="no address of a PostgreSQL database"):
        open_books(url, FakeClock())


def test_a_server_that_does_not_answer_is_said() -> None:
    with pytest.raises(ShopError, match="does not answer"):
        open_books("postgresql://app@127.0.0.1:9/shop", FakeClock())


def test_a_short_address_is_enough(shop_url: str) -> None:
    opened = open_books(shop_url.replace("postgresql+psycopg", "postgres"), FakeClock())
    assert opened.home is None
    assert check_books(opened) == ()
    opened.close()


@pytest.mark.parametrize("place", ["shop_folder", "shop_url"])
def test_a_press_waits_for_another_window_and_then_says_so(
    request: pytest.FixtureRequest, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "BUSY_MILLISECONDS", 50)
    where = request.getfixturevalue(place)
    one, two = open_books(where, FakeClock()), open_books(where, FakeClock())
    with one.write(Press(who_id=THE_TOOL), "slow") as unit:
        unit.people.add(Person(name="Ann"))
        with (
            pytest.raises(ShopError, match=r"The books are busy\. Nothing was saved"),
            two.write(Press(who_id=THE_TOOL), "quick"),
        ):
            pytest.fail("two wrote at once")
        with two.read() as reader:
            assert reader.people.count() == 0
        unit.commit()
    with two.write(Press(who_id=THE_TOOL), "quick") as unit:
        assert unit.people.count() == 1
    one.close()
    two.close()


def test_two_windows_may_begin_the_same_shop_at_once(tmp_path: Path) -> None:
    opened: list[OpenBooks] = []
    gate = threading.Barrier(2)

    def begin() -> None:
        gate.wait()
        opened.append(open_books(tmp_path / "shop", FakeClock()))

    threads = [threading.Thread(target=begin) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(opened) == 2
    assert check_books(opened[0]) == ()
    for each in opened:
        each.close()


def test_threads_of_one_window_write_one_after_the_other(database: Kept) -> None:
    def hire(number: int) -> None:
        for count in range(5):
            database.add("people", Person(name=f"Person {number}/{count}"))

    threads = [threading.Thread(target=hire, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with database.read() as unit:
        assert unit.people.count() == 20
        assert unit.changes.faults() == ()


def test_the_file_is_kept_by_the_recipe(shop_folder: Path) -> None:
    """The settings that lost nothing in simulated power cuts, on every connection."""
    for writing in (True, False):
        engine = engines.sqlite_engine(shop_folder / "shop.db", writing=writing)
        with engine.connect() as connection:
            values = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
                for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "query_only")
            }
        engine.dispose()
        full, on = 2, 1
        wanted = {"journal_mode": "truncate", "synchronous": full, "foreign_keys": on, "busy_timeout": 10_000}
        assert values == wanted | {"query_only": int(not writing)}


def test_a_reading_connection_cannot_write(database: Kept) -> None:
    assert database.opened is not None
    with database.opened.reader.connect() as connection, pytest.raises(Exception, match=r"(?i)read-?only"):
        connection.exec_driver_sql("DELETE FROM counters")


def test_a_reader_sees_one_moment_of_the_books(shop_url: str) -> None:
    one, two = open_books(shop_url, FakeClock()), open_books(shop_url, FakeClock())
    with one.read() as reader:
        assert reader.people.count() == 0
        with two.write(Press(who_id=THE_TOOL), "hire") as unit:
            unit.people.add(Person(name="Ann"))
            unit.commit()
        assert reader.people.count() == 0
    with one.read() as reader:
        assert reader.people.count() == 1
    one.close()
    two.close()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("database is locked", "The books are busy"),
        ("database or disk is full", "The disk of the books is full"),
        ('could not extend file "base/1/2": No space left on device', "The disk of the books is full"),
        ("database disk image is malformed", "The shop's file is damaged"),
        ("attempt to write a readonly database", "cannot be written"),
        ("server closed the connection unexpectedly", "does not answer"),
    ],
)
def test_what_goes_wrong_outside_is_said_in_one_sentence(said: str, words: str) -> None:
    error = OperationalError("SELECT 1", {}, sqlite3.OperationalError(said))
    with pytest.raises(ShopError, match=words), spoken():
        raise error


def test_a_mistake_of_ours_is_not_put_into_shop_words() -> None:
    error = ProgrammingError("SELEC 1", {}, sqlite3.ProgrammingError('near "SELEC": syntax error'))
    assert in_words(error) is None
    with pytest.raises(ProgrammingError), spoken():
        raise error


def test_a_failed_opening_lets_the_file_go(shop_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_arguments: object) -> None:
        raise ShopError("The step stopped half way")

    monkeypatch.setattr(books, "is_current", lambda _engine: False)
    monkeypatch.setattr(books, "bring_up_to_date", broken)
    with pytest.raises(ShopError, match="half way"):
        open_books(shop_folder, FakeClock())
    with closing(sqlite3.connect(shop_folder / "shop.db", isolation_level=None)) as connection:
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("ROLLBACK")


def test_a_killed_connection_gives_the_turn_back(shop_url: str) -> None:
    opened = open_books(shop_url, FakeClock())

    def cut(act: Callable[[], object]) -> None:
        with pytest.raises(ShopError, match="does not answer"):
            act()

    with opened.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(Person(name="Ann"))
        with opened.reader.connect() as other:
            other.exec_driver_sql(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE state = 'idle in transaction' AND pid <> pg_backend_pid()"
                " AND datname = current_database()"
            )
        cut(unit.commit)
    with opened.write(Press(who_id=THE_TOOL), "hire") as unit:
        unit.people.add(Person(name="Ben"))
        unit.commit()
    with opened.read() as unit:
        assert [person.name for person in unit.people.find()] == ["Ben"]
    opened.close()
