"""Save what a person typed into a record; somebody else's edit in between loses nothing of it."""

from typing import TypeVar

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.records import Record
from printcrib.services.interfaces import Table

R = TypeVar("R", bound=Record)


def save_edit(table: Table[R], edited: R) -> R:
    """Save an edited record.

    Raises:
        StaleEdit: somebody else was first; its `typed` is the record as edited here.
    """
    try:
        return table.save(edited)
    except StaleEdit as stale:
        stale.typed = edited
        raise


def refuse_blank(text: str, what: str) -> None:
    """Refuse an empty name.

    Args:
        what: completes "... has no name".
    """
    if not text.strip():
        raise ShopError(f"{what} has no name", "Type one.")
