"""The steps lead to the tables the program knows, and a step that fails leaves everything as it was."""

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.operations import Operations
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, func, inspect, select, text
from tests.services.fake import FakeClock
from tests.storage.conftest import Kept
from tests.storage.samples import sample, stored

from printcrib.core.errors import ShopError
from printcrib.services.book_rules import ONCE_ONLY
from printcrib.storage import migrate
from printcrib.storage.books import open_books
from printcrib.storage.engines import postgres_engine, sqlite_engine
from printcrib.storage.migrate import FOLDER, bring_up_to_date, is_current
from printcrib.storage.migrations import HEAD
from printcrib.storage.tables import TABLES, Books


def engine_of(kept: Kept) -> Engine:
    if isinstance(kept.place, Path):
        return sqlite_engine(kept.place / "shop.db", writing=True)
    return postgres_engine(kept.place, writing=True)


def test_models_and_steps_agree(database: Kept) -> None:
    engine = engine_of(database)
    with engine.begin() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Books.metadata) == []
        found = inspect(connection)
        for table in Books.metadata.tables.values():
            rules = {
                (tuple(key["constrained_columns"]), key["referred_table"])
                for key in found.get_foreign_keys(table.name)
            }
            assert rules == {((key.parent.name,), key.column.table.name) for key in table.foreign_keys}
            assert _unique(found.get_indexes(table.name)) == {
                str(each.name) for each in table.indexes if each.unique
            }
    engine.dispose()


def _unique(indexes: Any) -> set[str]:
    return {index["name"] for index in indexes if index["unique"]}


def test_every_rule_has_the_same_rows_in_models_and_steps(shop_folder: Path, tmp_path: Path) -> None:
    """A partial index is compared by its text, which the library does not look at."""
    fresh = sqlite_engine(tmp_path / "models.db", writing=True)
    Books.metadata.create_all(fresh)
    wanted = text("SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL")
    steps = sqlite_engine(shop_folder / "shop.db", writing=False)
    with fresh.connect() as models, steps.connect() as kept:
        by_models = {name: _plain(sql) for name, sql in models.execute(wanted)}
        by_steps = {name: _plain(sql) for name, sql in kept.execute(wanted)}
    assert by_steps == by_models
    fresh.dispose()
    steps.dispose()


def test_a_server_holds_the_same_rules_for_some_rows_only(shop_url: str) -> None:
    engine = postgres_engine(shop_url, writing=False)
    with engine.connect() as connection:
        partial = text("SELECT indexname, indexdef FROM pg_indexes WHERE indexdef LIKE '% WHERE %'")
        rows = connection.execute(partial)
        kept = {name: definition.split(" WHERE ")[1] for name, definition in rows}
    engine.dispose()
    assert set(kept) == {rule.name for rule in ONCE_ONLY if not rule.void_too}
    for rule in ONCE_ONLY:
        if rule.among:
            assert set(re.findall(r"'([^']+)'", kept[rule.name])) == set(rule.among[1])


def _plain(sql: str) -> str:
    return sql.replace("= 0", "= false").replace('"', "")


def test_the_program_knows_the_newest_step() -> None:
    config = Config()
    config.set_main_option("script_location", str(FOLDER))
    script = ScriptDirectory.from_config(config)
    assert script.get_heads() == [HEAD]
    assert len(list(script.walk_revisions())) == 7


def test_an_up_to_date_shop_is_opened_without_the_migrations(shop_folder: Path) -> None:
    words = (
        "import sys; from printcrib.storage.books import open_books;"
        "from tests.services.fake import FakeClock;"
        f"open_books({str(shop_folder)!r}, FakeClock()).close();"
        "assert not [name for name in sys.modules if name.startswith(('alembic', 'PySide6', 'psycopg'))]"
    )
    subprocess.run([sys.executable, "-c", words], check=True, env={"PYTHONPATH": "desktop:."})


def test_books_of_a_newer_program_are_left_alone(database: Kept) -> None:
    engine = engine_of(database)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(ShopError, match="written by a newer program"):
        open_books(database.place, FakeClock())
    with engine.begin() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one() == "9999"
    engine.dispose()


def _fill(kept: Kept) -> None:
    from printcrib.services.press import Press

    with kept.write(Press(who_id=0), "test") as unit:
        stored(unit, "sizes", name="32 x 60")
        unit.copies.add(sample(unit, "copies"))
        unit.commit()


def _counts(connection: Connection) -> dict[str, int]:
    return {
        name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for name, table in TABLES.items()
    }


def _rebuild_patterns(connection: Connection) -> None:
    operations = Operations(MigrationContext.configure(connection))
    with operations.batch_alter_table("patterns", recreate="always") as batch:
        batch.alter_column("notes", nullable=True)


def test_rebuilding_a_table_keeps_what_points_at_it(
    shop_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = open_books(shop_folder, FakeClock())
    _fill(Kept(kept.write, kept.read, kept.files, FakeClock(), kept, shop_folder))
    kept.close()
    engine = sqlite_engine(shop_folder / "shop.db", writing=True)
    with engine.begin() as connection:
        before = _counts(connection)
    monkeypatch.setattr(migrate, "_run_steps", _rebuild_patterns)
    bring_up_to_date(engine)
    with engine.begin() as connection:
        assert _counts(connection) == before
        assert before["sizes"] > 1
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar_one() == 1
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall() == []
    engine.dispose()


def test_a_step_that_fails_leaves_the_books_as_they_were(
    database: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    def half_a_step(connection: Connection) -> None:
        connection.execute(text("ALTER TABLE patterns ADD COLUMN half TEXT"))
        connection.execute(text("DELETE FROM counters"))
        raise ShopError("The step stopped half way")

    engine = engine_of(database)
    monkeypatch.setattr(migrate, "_run_steps", half_a_step)
    with pytest.raises(ShopError, match="half way"):
        bring_up_to_date(engine)
    with engine.begin() as connection:
        assert "half" not in {column["name"] for column in inspect(connection).get_columns("patterns")}
    assert is_current(engine)
    engine.dispose()


def test_a_step_that_leaves_lines_pointing_nowhere_is_undone(
    shop_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = open_books(shop_folder, FakeClock())
    _fill(Kept(kept.write, kept.read, kept.files, FakeClock(), kept, shop_folder))
    kept.close()
    engine = sqlite_engine(shop_folder / "shop.db", writing=True)
    monkeypatch.setattr(
        migrate, "_run_steps", lambda connection: connection.execute(text("DELETE FROM patterns"))
    )
    with pytest.raises(ShopError, match="lines point nowhere"):
        bring_up_to_date(engine)
    with engine.begin() as connection:
        assert _counts(connection)["patterns"] > 0
    engine.dispose()


def test_an_old_shop_is_backed_up_before_it_is_brought_up_to_date(tmp_path: Path) -> None:
    home = tmp_path / "shop"
    home.mkdir()
    engine = sqlite_engine(home / "shop.db", writing=True)
    config = Config()
    config.set_main_option("script_location", str(FOLDER))
    from alembic import command

    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
    engine.dispose()
    open_books(home, FakeClock()).close()
    (backup,) = (home / "backups").glob("*-before-update.db")
    old = sqlite_engine(backup, writing=False)
    with old.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one() == "0001"
    old.dispose()
