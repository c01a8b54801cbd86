"""Brings a shop's books up to what this program knows, whole or not at all."""

from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DBAPIError

from printcrib.core.errors import ShopError
from printcrib.storage.migrations import HEAD
from printcrib.storage.unit import BOOKS_LOCK, spoken

FOLDER = Path(__file__).parent / "migrations"
_VERSION = text("SELECT version_num FROM alembic_version")


def version_of(connection: Connection) -> str | None:
    """The step the books are at; None for a new shop."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    version: str | None = connection.execute(
        text("SELECT version_num FROM alembic_version")
    ).scalar_one_or_none()
    return version


def is_current(engine: Engine) -> bool:
    """Whether the books need no step; asked first, since loading the migrations takes a while."""
    with spoken(), engine.connect() as connection:
        try:
            return connection.execute(_VERSION).scalar() == HEAD
        except DBAPIError as error:
            if "alembic_version" in str(error.orig):
                return False
            raise


def bring_up_to_date(engine: Engine) -> None:
    """Run the missing steps in one transaction.

    Raises:
        ShopError: the books were written by a newer program.
    """
    if engine.dialect.name == "sqlite":
        _on_sqlite(engine)
    else:
        with spoken(), engine.begin() as connection:
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": BOOKS_LOCK})
            _run_steps(connection)


def _on_sqlite(engine: Engine) -> None:
    """Rebuilding a table drops it, and with foreign keys on that takes its children along, without a word."""
    with spoken(), engine.connect() as connection:
        connection.connection.execute("PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                _run_steps(connection)
                broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
                if broken:
                    raise ShopError(
                        f"The books cannot be brought up to date, {len(broken)} lines point nowhere",
                        "Nothing was changed. Run printcrib check.",
                    )
        finally:
            connection.connection.execute("PRAGMA foreign_keys=ON")


def _run_steps(connection: Connection) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    if version_of(connection) == HEAD:
        return  # another window was first
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        raise ShopError(
            "These books were written by a newer program", "Update this one, then open the shop again."
        ) from error
