"""Copies of the shop's file that can be put back."""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from printcrib.core.errors import ShopError
from printcrib.storage.engines import BUSY_MILLISECONDS
from printcrib.storage.files import sync_folder

DATABASE = "shop.db"


@contextmanager
def plain_connection(database: Path) -> Iterator[sqlite3.Connection]:
    """The file without our tables, for looking at it as a file."""
    with closing(
        sqlite3.connect(database, timeout=BUSY_MILLISECONDS / 1000, isolation_level=None)
    ) as connection:
        yield connection


def back_up(database: Path, backups: Path, now: datetime, why: str = "") -> Path:
    """Copy the shop's file into backups, while it is being written to, and check the copy.

    Args:
        now: aware UTC, part of the copy's name. why: a word for the name, such as "before-update".

    Raises:
        ShopError: the copy is not whole; it is then not kept.
    """
    backups.mkdir(parents=True, exist_ok=True)
    half = backups / f".{os.getpid()}-{now:%H%M%S%f}.half"
    try:
        with plain_connection(database) as source, closing(sqlite3.connect(half)) as target:
            source.backup(target)
        faults = faults_of_file(half)
        if faults:
            raise ShopError(f"The backup is not whole: {faults[0]}", "Run printcrib check.")
        _sync(half)
        return _named(half, backups, f"shop-{now:%Y-%m-%d-%H%M%S}" + (f"-{why}" if why else ""))
    finally:
        half.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _named(half: Path, backups: Path, name: str) -> Path:
    """Give the copy the first free name, so that an older one is never written over."""
    path, again = backups / f"{name}.db", 1
    while path.exists():
        again += 1
        path = backups / f"{name}-{again}.db"
    half.replace(path)
    sync_folder(backups)
    return path


def faults_of_file(database: Path) -> tuple[str, ...]:
    """Sentences on what is wrong inside a shop's file; empty when it is sound."""
    try:
        with plain_connection(database) as connection:
            said = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
            lost = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as error:
        return (f"The file {database.name} cannot be read: {error}.",)
    faults = [f"The file {database.name} is damaged: {line}." for line in said if line != "ok"]
    faults += [
        f"A line of {table} (key {row}) points at a record of {parent} that is not there."
        for table, row, parent, _ in lost
    ]
    return tuple(faults)


def put_back(backup: Path, home: Path, now: datetime) -> Path:
    """Make a backup the shop's file again; the one it replaces is kept beside it. The shop must be closed.

    Raises:
        ShopError: the backup is not sound; nothing was changed.
    """
    faults = faults_of_file(backup) if backup.is_file() else (f"There is no backup {backup.name}.",)
    if faults:
        raise ShopError(faults[0].rstrip("."), "Nothing was changed. Choose another backup.")
    home.mkdir(parents=True, exist_ok=True)
    database, half = home / DATABASE, home / f".{DATABASE}.half"
    shutil.copyfile(backup, half)
    _sync(half)
    if database.exists():
        database.replace(home / f"shop-replaced-{now:%Y-%m-%d-%H%M%S}.db")
    half.replace(database)
    sync_folder(home)
    return database
