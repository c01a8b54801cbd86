"""Every kind of record comes back as it went in, and what may be there once is there once."""

from dataclasses import fields, replace
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from tests.storage.conftest import Kept
from tests.storage.samples import sample, stored, value_of

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.records import THE_TOOL
from printcrib.services.book_rules import KINDS, ONCE_ONLY, OnceOnly, points_at
from printcrib.services.change_record import to_json
from printcrib.services.interfaces import Table, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.storage.tables import TABLES
from printcrib.storage.tables.columns import AsJson


def test_every_table_of_a_unit_is_known() -> None:
    hints = get_type_hints(UnitOfWork).items()
    tables = {name: get_args(hint)[0] for name, hint in hints if get_origin(hint) is Table}
    assert tables == {name: kind.record for name, kind in KINDS.items()}


@pytest.mark.parametrize("table", KINDS)
def test_columns_are_the_fields_of_the_record(table: str) -> None:
    kind = KINDS[table].record
    hints = get_type_hints(kind)
    columns = TABLES[table].c
    assert set(columns.keys()) == {field.name for field in fields(kind)}
    for name, column in columns.items():
        assert column.nullable == (type(None) in get_args(hints[name])), name
        there = points_at(table, name)
        assert [key.column.table.name for key in column.foreign_keys] == ([there] if there else []), name
        if name.endswith("_id"):
            assert there, name


@pytest.mark.parametrize("full", [True, False], ids=["full", "bare"])
def test_every_kind_comes_back_as_it_went_in(books: Kept, full: bool) -> None:
    for table in KINDS:
        with books.write(Press(who_id=THE_TOOL), "test") as unit:
            record = sample(unit, table, needed_only=not full)
            added = getattr(unit, table).add(record)
            unit.commit()
        with books.read() as unit:
            assert getattr(unit, table).get(added.id) == added
            history = unit.changes.of_thing(table, added.id)
        same = ("id", "version", "recorded_at", "happened_at")
        assert replace(added, **{name: getattr(record, name) for name in same}) == record
        if table != "duties":
            assert [change.after for change in history] == [to_json(added)]


def test_every_field_can_be_edited(books: Kept) -> None:
    for table in KINDS:
        _edit_every_field(books, table)


def _edit_every_field(books: Kept, table: str) -> None:
    with books.write(Press(who_id=THE_TOOL), "test") as unit:
        bare = stored(unit, table)
        full = sample(unit, table)
        edited = getattr(unit, table).save(replace(full, id=bare.id, version=bare.version))
        unit.commit()
    with books.read() as unit:
        again = getattr(unit, table).get(bare.id)
    assert again == edited
    same = {name: getattr(full, name) for name in ("id", "version", "recorded_at", "happened_at")}
    assert replace(again, **same) == full


def test_a_key_that_is_in_no_book_is_named(books: Kept) -> None:
    for table in KINDS:
        _name_missing_keys(books, table)


def _name_missing_keys(books: Kept, table: str) -> None:
    with books.write(Press(who_id=THE_TOOL), "test") as unit:
        record = sample(unit, table, needed_only=True)
        for field in fields(record):
            there = points_at(table, field.name)
            if there:
                with pytest.raises(NotFound, match=f"There is no {KINDS[there].noun} 987654"):
                    getattr(unit, table).add(replace(record, **{field.name: 987654}))
        assert getattr(unit, table).find(is_("id", 987654)) == ()


def _among(rule: OnceOnly, unit: UnitOfWork) -> dict[str, Any]:
    """Values that bring a record under the rule."""
    hints = get_type_hints(KINDS[rule.table].record)
    values: dict[str, Any] = {}
    for name in dict.fromkeys((*rule.fields, *rule.filled)):
        there = points_at(rule.table, name)
        values[name] = stored(unit, there).id if there else value_of(hints[name])
    if rule.among:
        values[rule.among[0]] = rule.among[1][0]
    return values


@pytest.mark.parametrize("rule", ONCE_ONLY, ids=lambda rule: rule.name)
def test_what_may_be_there_once_is_there_once(books: Kept, rule: OnceOnly) -> None:
    with books.write(Press(who_id=THE_TOOL), "test") as unit:
        table: Table[Any] = getattr(unit, rule.table)
        values = _among(rule, unit)
        first = stored(unit, rule.table, **values)
        second = sample(unit, rule.table, needed_only=True, **values)
        with pytest.raises(ShopError) as refusal:
            table.add(second)
        assert (refusal.value.what, refusal.value.do) == (rule.what, rule.do)
        voided = table.save(replace(first, void=True))
        if rule.void_too:
            with pytest.raises(ShopError, match=rule.what):
                table.add(second)
            return
        other = table.add(second)
        with pytest.raises(ShopError, match=rule.what):
            table.save(replace(voided, void=False))
        if rule.among:
            left = next(value for value in _states(rule) if value not in rule.among[1])
            table.save(replace(voided, void=False, **{rule.among[0]: left}))
        for name in rule.filled:
            empty: Any = None if name.endswith("_id") else ""
            table.save(replace(table.get(other.id), **{name: empty}))
            table.save(replace(table.get(first.id), void=False, **{name: empty}))
            break


def _states(rule: OnceOnly) -> Any:
    assert rule.among is not None
    return get_type_hints(KINDS[rule.table].record)[rule.among[0]]


def test_every_list_is_refused_as_a_condition(books: Kept) -> None:
    with books.read() as unit:
        for table, columns in TABLES.items():
            for name in columns.c.keys():  # noqa: SIM118 - a collection of columns is no dict
                kind = columns.c[name].type
                if isinstance(kind, AsJson):
                    where = is_(name, value_of(kind.hint))
                    with pytest.raises(TypeError, match="is a list"):
                        getattr(unit, table).find(where)
