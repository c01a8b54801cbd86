"""Connections to the shop's database, each kind by the recipe that lost nothing when tried."""

import random
import time
from pathlib import Path
from sqlite3 import Connection as SqliteConnection
from sqlite3 import OperationalError
from typing import Any

from sqlalchemy import URL, Engine, create_engine, event, make_url
from sqlalchemy.engine import Connection
from sqlalchemy.exc import ArgumentError

from printcrib.core.errors import ShopError

BUSY_MILLISECONDS = 10_000
"""How long a press waits for another one that is still being written."""

PACE_SECONDS = (0.001, 0.015)
"""How often it asks whether it is its turn."""

SQLITE_PRAGMAS = (
    "foreign_keys=ON",
    # Lost no acknowledged commit in simulated power cuts; the usual DELETE with FULL did, and WAL has a
    # known fault with several connections in the SQLite of Debian 12.
    "journal_mode=TRUNCATE",
    "synchronous=FULL",
)


def small_letters(words: str | None) -> str | None:
    """Lower case beyond ASCII, which SQLite's own lower() does not do."""
    return None if words is None else words.lower()


def sqlite_engine(database: Path, *, writing: bool) -> Engine:
    """An engine on a shop's file; a reading one cannot write, yet may tidy up after a killed writer."""
    engine = create_engine(URL.create("sqlite+pysqlite", database=str(database)))

    @event.listens_for(engine, "connect")
    def _prepare(connection: SqliteConnection, _record: Any) -> None:
        connection.isolation_level = None  # the driver's own transactions lost updates
        for pragma in (f"busy_timeout={BUSY_MILLISECONDS}", *SQLITE_PRAGMAS):
            connection.execute(f"PRAGMA {pragma}").fetchall()
        if not writing:
            connection.execute("PRAGMA query_only=ON")
        connection.create_function("small_letters", 1, small_letters, deterministic=True)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        if writing:
            _take_turn(connection)
        else:
            connection.exec_driver_sql("BEGIN")

    return engine


def _take_turn(connection: Connection) -> None:
    """Begin to write, as soon as no other process does.

    SQLite's own waiting asks less and less often the longer one waits, so that sixteen busy windows kept one
    out for over ten seconds; asking at the same random pace gives each the same chance.
    """
    until = time.monotonic() + BUSY_MILLISECONDS / 1000
    raw: Any = connection.connection.dbapi_connection
    raw.execute("PRAGMA busy_timeout=0")
    try:
        while True:
            try:
                raw.execute("BEGIN IMMEDIATE")
                return
            except OperationalError as error:
                if "locked" not in str(error) or time.monotonic() > until:
                    break
            time.sleep(random.uniform(*PACE_SECONDS))
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    finally:
        raw.execute(f"PRAGMA busy_timeout={BUSY_MILLISECONDS}")


def postgres_url(url: str) -> URL:
    """The address with the driver we ship.

    Raises:
        ShopError: it is the address of something else.
    """
    try:
        address = make_url(url)
        known = address.drivername.split("+")[0] in ("postgresql", "postgres")
    except (ArgumentError, ValueError):
        known = False
    if not known:
        raise ShopError("That is no address of a PostgreSQL database", "Write postgresql://user@host/name.")
    return address.set(drivername="postgresql+psycopg")


def postgres_engine(url: str, *, writing: bool) -> Engine:
    """An engine on a shop's server; a reading unit sees one moment of the books."""
    options: dict[str, Any] = {}
    if not writing:
        options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    waits = f"-c lock_timeout={BUSY_MILLISECONDS} -c timezone=UTC"
    return create_engine(
        postgres_url(url),
        pool_pre_ping=True,
        execution_options=options,
        connect_args={"connect_timeout": 5, "options": waits, "application_name": "printcrib"},
    )
