"""One table for each kind of record, under the names a unit of work gives them."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast

from sqlalchemy import Table

from printcrib.services.book_rules import KINDS
from printcrib.storage.tables import (
    aids,
    changes,
    materials,
    patterns,
    people,
    printers,
    requests,
    runs,
    shop,
)
from printcrib.storage.tables.columns import Books

__all__ = ["CHANGES", "COUNTERS", "PIECES", "TABLES", "Books"]

_AREAS = (aids, changes, materials, patterns, people, printers, requests, runs, shop)

CHANGES = cast(Table, changes.ChangeRow.__table__)
COUNTERS = cast(Table, changes.CounterRow.__table__)
PIECES = cast(Table, changes.PieceRow.__table__)
TABLES: Mapping[str, Table] = MappingProxyType({name: Books.metadata.tables[name] for name in KINDS})
"""Every table that holds records."""
