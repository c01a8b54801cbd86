"""Finding, counting and summing up: the same answers from memory, a file and a server."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.services.fake import FakeClock, FakeStore
from tests.storage.conftest import Kept

from printcrib.core.materials import Material, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.people import Person
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Request, RequestState
from printcrib.services.interfaces import Op, Where, among, is_
from printcrib.services.press import Press

NAMES = ("Ann", "ann", "Ärmel", "ÄRMEL", "straße", "100 %", "a_b", "", "Zoë", "O'Neil\\")


def _hire(books: Kept) -> dict[str, Person]:
    with books.write(Press(who_id=THE_TOOL), "hire") as unit:
        people = {name: unit.people.add(Person(name=name)) for name in NAMES}
        unit.commit()
    return people


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("ann", {"Ann", "ann"}),
        ("är", {"Ärmel", "ÄRMEL"}),
        ("%", {"100 %"}),
        ("_", {"a_b"}),
        ("ë", {"Zoë"}),
        ("'NEIL\\", {"O'Neil\\"}),
        ("", set(NAMES)),
        ("nobody", set()),
    ],
)
def test_contains_looks_past_case_and_takes_signs_as_they_are(
    books: Kept, words: str, found: set[str]
) -> None:
    _hire(books)
    with books.read() as unit:
        assert {person.name for person in unit.people.find(Where("name", "contains", words))} == found


def test_words_are_ordered_by_their_characters_numbers(books: Kept) -> None:
    _hire(books)
    with books.read() as unit:
        assert [person.name for person in unit.people.find(order_by="name")] == sorted(NAMES)
        newest = unit.people.find(order_by="name", newest_first=True, limit=3, offset=1)
        assert [person.name for person in newest] == sorted(NAMES, reverse=True)[1:4]


def test_empty_fields_come_last_both_ways_and_ties_go_by_key(books: Kept) -> None:
    first = books.clock.now()
    moments = (first, None, first - timedelta(hours=1), None, first)
    with books.write(Press(who_id=THE_TOOL), "test") as unit:
        for number, moment in enumerate(moments, 1):
            unit.requests.add(Request(number=number, asker_id=0, entered_by_id=0, needed_by=moment))
        unit.commit()
    with books.read() as unit:
        assert [each.number for each in unit.requests.find(order_by="needed_by")] == [3, 1, 5, 2, 4]
        newest = unit.requests.find(order_by="needed_by", newest_first=True)
        assert [each.number for each in newest] == [5, 1, 3, 4, 2]
        assert [each.number for each in unit.requests.find(offset=3)] == [4, 5]
        assert unit.requests.find(limit=0) == ()


def test_a_misspelt_field_is_a_mistake_at_once(books: Kept) -> None:
    with books.read() as unit:
        for ask in (
            lambda: unit.people.find(is_("nmae", "Ann")),
            lambda: unit.people.find(order_by="nmae"),
            lambda: unit.people.count(is_("nmae", "Ann")),
            lambda: unit.spool_entries.totals("mgg", "spool_id"),
            lambda: unit.spool_entries.totals("mg", "spol_id"),
            lambda: unit.spool_entries.latest("happend_at", "spool_id"),
        ):
            with pytest.raises(AttributeError, match="has no field"):
                ask()


def test_one_of_very_many(books: Kept) -> None:
    people = _hire(books)
    keys = [person.id for person in people.values()]
    with books.read() as unit:
        assert len(unit.people.find(among("id", range(40_000)))) == len(NAMES)
        assert len(unit.people.find(among("id", keys))) == len(NAMES)
        assert unit.people.find(among("id", ())) == ()
        many = [f"somebody {number}" for number in range(600)]
        assert unit.people.count(among("name", [*many, "Ann"])) == 1
        states = [RequestState.RAISED] * 600
        assert unit.requests.count(among("state", states)) == 0


def _ledger(books: Kept) -> tuple[Spool, Spool]:
    with books.write(Press(who_id=THE_TOOL), "test") as unit:
        material = unit.materials.add(Material(name="PETG", density=1.27))
        white, grey = (
            unit.spools.add(Spool(number=number, material_id=material.id, colour=colour))
            for number, colour in ((1, "white"), (2, "grey"))
        )
        for number, (spool, mg) in enumerate(((white, 1_000_000), (white, -25_400), (grey, 750_000))):
            unit.spool_entries.add(
                SpoolEntry(
                    spool_id=spool.id,
                    kind=SpoolEntryKind.RECEIVED,
                    mg=mg,
                    who_id=0,
                    happened_at=books.clock.now() + timedelta(hours=number),
                )
            )
        entry = unit.spool_entries.add(
            SpoolEntry(spool_id=grey.id, kind=SpoolEntryKind.PRINTED, mg=-5, who_id=0, gross_mg=9)
        )
        unit.spool_entries.save(replace(entry, void=True))
        unit.commit()
    return white, grey


def test_sums_and_newest_by_another_field_leave_out_what_was_undone(books: Kept) -> None:
    white, grey = _ledger(books)
    start = books.clock.now()
    with books.read() as unit:
        assert unit.spool_entries.totals("mg", "spool_id") == {white.id: 974_600, grey.id: 750_000}
        late = Where("happened_at", ">", start)
        assert unit.spool_entries.totals("mg", "spool_id", late) == {white.id: -25_400, grey.id: 750_000}
        assert unit.spool_entries.totals("mg", "kind") == {SpoolEntryKind.RECEIVED: 1_724_600}
        assert unit.spool_entries.totals("gross_mg", "run_id") == {None: 0}
        latest = unit.spool_entries.latest("happened_at", "spool_id")
        assert latest == {white.id: start + timedelta(hours=1), grey.id: start + timedelta(hours=2)}
        assert unit.spool_entries.latest("gross_mg", "spool_id") == {white.id: None, grey.id: None}
        assert unit.spool_entries.count() == 3
        assert len(unit.spool_entries.find(with_void=True)) == 4
        assert unit.spool_entries.totals("mg", "spool_id", is_("mg", 7)) == {}


_REQUESTS = tuple(
    Request(
        number=number + 1,
        asker_id=0,
        entered_by_id=0,
        words=("", "Anschlag", "anschlag ß")[number % 3],
        state=list(RequestState)[number % 6],
        bore_um=(None, 400, 600, 800)[number % 4],
        scale=(0.5, 1.0, 2.0)[number % 3],
        same_use=(None, True, False)[number % 3],
        needed_by=None if number % 5 == 0 else FakeClock().now() + timedelta(minutes=number % 7),
    )
    for number in range(24)
)
_VALUES: dict[str, list[Any]] = {
    "words": ["", "Anschlag", "schlag"],
    "state": [RequestState.RAISED, RequestState.DONE],
    "bore_um": [None, 400, 600, 1000],
    "scale": [0.5, 1, 1.5],
    "same_use": [None, True, False],
    "needed_by": [None, FakeClock().now(), FakeClock().now() + timedelta(minutes=3)],
    "number": [1, 12, 24],
}
_ORDERED = ("bore_um", "scale", "needed_by", "number")
_OPS: tuple[Op, ...] = ("==", "!=", "in", "is none", "not none", "<", "<=", ">", ">=")


@st.composite
def _where(draw: st.DrawFn) -> Where:
    field = draw(st.sampled_from(sorted(_VALUES)))
    allowed = [op for op in _OPS if field in _ORDERED or op[0] not in "<>"]
    op: Op = draw(st.sampled_from([*allowed, "contains"] if field == "words" else allowed))
    value = st.sampled_from(_VALUES[field])
    return Where(field, op, tuple(draw(st.lists(value))) if op == "in" else draw(value))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=80)
@given(where=st.lists(_where(), max_size=3), order=st.sampled_from(sorted(_VALUES)), newest=st.booleans())
def test_databases_find_what_memory_finds(
    database: Kept, where: list[Where], order: str, newest: bool
) -> None:
    store = FakeStore(FakeClock())
    for write, read in ((store.write, store.read), (database.write, database.read)):
        with read() as unit:
            if unit.requests.count():
                continue
        with write(Press(who_id=THE_TOOL), "test") as unit:
            for request in _REQUESTS:
                unit.requests.add(request)
            unit.commit()
    with store.read() as memory, database.read() as kept:
        wanted = memory.requests.find(*where, order_by=order, newest_first=newest)
        assert kept.requests.find(*where, order_by=order, newest_first=newest) == wanted
        assert kept.requests.count(*where) == len(wanted)
        assert kept.requests.one(*where) == memory.requests.one(*where)
        by_state = kept.requests.totals("number", "state", *where)
        assert by_state == memory.requests.totals("number", "state", *where)
        assert kept.requests.latest("needed_by", "bore_um", *where) == memory.requests.latest(
            "needed_by", "bore_um", *where
        )


def test_a_spool_is_found_by_its_state(books: Kept) -> None:
    white, grey = _ledger(books)
    dryer = books.save("spools", replace(grey, state=SpoolState.DRYER))
    with books.read() as unit:
        assert unit.spools.find(is_("state", "dryer")) == (dryer,)
        assert unit.spools.find(Where("state", "!=", SpoolState.DRYER)) == (white,)
