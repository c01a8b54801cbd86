"""What a database refuses, in words a person can act on."""

import re
from typing import Any

from sqlalchemy.exc import DBAPIError, IntegrityError

from printcrib.core.errors import ShopError
from printcrib.services.book_rules import ONCE_ONLY, OnceOnly

_BUSY = ("database is locked", "lock timeout", "locknotavailable", "deadlock detected")
_FULL = ("disk is full", "no space left", "disk full")
_DAMAGED = ("malformed", "not a database")
_LOCKED_AWAY = ("readonly database", "unable to open database", "permission denied")
_AWAY = ("connection", "could not connect", "server closed")


def broken_rule(error: IntegrityError) -> OnceOnly | None:
    """The rule of the books that a write broke, if it is one of those."""
    name = _constraint(error)
    columns = _sqlite_columns(error)
    for rule in ONCE_ONLY:
        if rule.name == name or columns == {f"{rule.table}.{field}" for field in rule.fields}:
            return rule
    return None


def broken_key(table: str, error: IntegrityError) -> str | None:
    """The field whose key is in no book, where the database says which."""
    name = _constraint(error) or ""
    return name.removeprefix(f"fk_{table}_") if name.startswith(f"fk_{table}_") else None


def is_key_missing(error: IntegrityError) -> bool:
    """Whether a write pointed at a record that is not there."""
    return "FOREIGN KEY" in str(error.orig) or (_constraint(error) or "").startswith("fk_")


def _constraint(error: IntegrityError) -> str | None:
    diagnosis: Any = getattr(error.orig, "diag", None)
    return getattr(diagnosis, "constraint_name", None)


def _sqlite_columns(error: IntegrityError) -> set[str]:
    found = re.search(r"UNIQUE constraint failed: (.*)", str(error.orig))
    return set(found.group(1).split(", ")) if found else set()


def in_words(error: DBAPIError) -> ShopError | None:
    """What went wrong outside the program; None when the program itself is at fault."""
    said = f"{type(error.orig).__name__} {error.orig}".lower()
    known = (
        (_BUSY, "The books are busy", "Nothing was saved. Wait a moment and press again."),
        (_FULL, "The disk of the books is full", "Nothing was saved. Make room, then press again."),
        (_DAMAGED, "The shop's file is damaged", "Close the window and put back a copy from backups."),
        (_LOCKED_AWAY, "The shop's folder cannot be written", "Check who may write there, then try again."),
        (_AWAY, "The shop's database does not answer", "Check that its computer is on, then try again."),
    )
    for signs, what, do in known:
        if any(sign in said for sign in signs):
            return ShopError(what, do)
    return None
