"""A check names every fault in a sentence, and sound books have none."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from tests.services.fake import FakeClock
from tests.storage.conftest import Kept, kept_at
from tests.storage.samples import sample, stored
from tests.storage.test_migrations import engine_of

from printcrib.core.aids import UseEntry, UseKind
from printcrib.core.materials import SpoolEntry, SpoolEntryKind
from printcrib.core.records import THE_TOOL
from printcrib.services.book_rules import KINDS
from printcrib.services.press import Press
from printcrib.storage.check import check_books


def _fill(kept: Kept) -> dict[str, Any]:
    """One of everything, a ledger with an opposed entry, and a kept file."""
    with kept.write(Press(who_id=THE_TOOL), "test") as unit:
        for table in KINDS:
            if table not in ("attachments", *LEDGERS):
                getattr(unit, table).add(sample(unit, table))
        spool, aid = stored(unit, "spools"), stored(unit, "aids")
        entry = unit.spool_entries.add(
            SpoolEntry(spool_id=spool.id, kind=SpoolEntryKind.PRINTED, mg=-25_400, who_id=0)
        )
        back = unit.spool_entries.add(
            SpoolEntry(
                spool_id=spool.id, kind=SpoolEntryKind.OPPOSED, mg=25_400, who_id=0, opposes_id=entry.id
            )
        )
        use = unit.use_entries.add(UseEntry(aid_id=aid.id, kind=UseKind.ADD, amount=40, who_id=0))
        unit.people.save(replace(stored(unit, "people"), name="Renamed"))
        unit.commit()
    return {"entry": entry, "back": back, "use": use, "sha": kept.files.put(b"solid", "model")}


LEDGERS = ("spool_entries", "use_entries", "insert_entries")


def _alter(kept: Kept, words: str, **values: Any) -> None:
    engine = engine_of(kept)
    with engine.begin() as connection:
        connection.execute(text(words), values)
    engine.dispose()


def test_sound_books_have_no_faults(database: Kept) -> None:
    assert database.opened is not None
    assert check_books(database.opened) == ()
    _fill(database)
    parts: list[str] = []
    assert check_books(database.opened, parts.append) == ()
    assert parts == ["database", "change record", "records", "ledgers", "files"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("UPDATE spool_entries SET mg = -1 WHERE opposes_id IS NULL", "spool booking (key 1) after change"),
        ("UPDATE spool_entries SET mg = 25401 WHERE opposes_id = 1", "does not take back exactly what"),
        ("UPDATE spool_entries SET void = true WHERE id = 1", "spool booking 1 was struck out"),
        ("UPDATE use_entries SET opposes_id = 1 WHERE id = 1", "use entry 1 does not take back exactly"),
        ("UPDATE people SET name = 'Eve' WHERE name = 'Renamed'", "Somebody altered person Eve"),
        ("UPDATE changes SET who_id = 1 WHERE number = 3", "Change 3 was altered"),
        ("DELETE FROM changes WHERE number = 3", "Change 4 follows change 2"),
        ("UPDATE attachments SET bytes = 6", "has 5 bytes instead of 6"),
    ],
)
def test_every_fault_is_named(database: Kept, words: str, said: str) -> None:
    assert database.opened is not None
    _fill(database)
    _alter(database, words)
    assert any(said in fault for fault in check_books(database.opened)), check_books(database.opened)


def test_a_line_put_in_past_the_books_is_named(database: Kept) -> None:
    assert database.opened is not None
    ids = _fill(database)
    columns = "version, recorded_at, happened_at, void, spool_id, kind, mg, who_id, source, opposes_id, note"
    _alter(
        database,
        f"INSERT INTO spool_entries (id, {columns}) SELECT 999, {columns} FROM spool_entries WHERE id = :id",
        id=ids["back"].id,
    )
    faults = check_books(database.opened)
    assert "There is no change for this spool booking (key 999)." in faults
    assert f"The spool booking {ids['entry'].id} was taken back more than once." in faults


def test_a_file_that_is_gone_or_altered_is_named(database: Kept) -> None:
    assert database.opened is not None
    sha = _fill(database)["sha"]
    if isinstance(database.place, Path):
        path = database.place / "files" / sha
        path.write_bytes(b"solids")
        assert any(f"{sha[:12]} is damaged" in fault for fault in check_books(database.opened))
        path.unlink()
    else:
        _alter(database, "DELETE FROM pieces")
    (fault,) = check_books(database.opened)
    assert sha[:12] in fault


def test_a_damaged_file_is_named(shop_folder: Path) -> None:
    kept = kept_at(shop_folder, FakeClock())
    assert kept.opened is not None
    _fill(kept)
    kept.close()
    engine = engine_of(kept)
    with engine.connect() as connection:
        connection.connection.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            connection.execute(text("UPDATE copies SET request_id = 999999"))
    engine.dispose()
    faults = check_books(kept.opened)
    assert any("points at a record of requests that is not there" in fault for fault in faults), faults
    kept.close()
