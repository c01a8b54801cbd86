"""In whatever order things are pressed, grams are the ledger's sum and no stale edit gets through."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)
from tests.storage.conftest import Kept

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Material, Spool, SpoolEntry, SpoolEntryKind
from printcrib.core.records import THE_TOOL
from printcrib.services.interfaces import AlreadyBooked, UnitOfWork, among
from printcrib.services.press import Press

T = TypeVar("T")
MG = st.integers(-(10**6), 10**6)


class Ledger(RuleBasedStateMachine):
    """A few spools, booked on, opposed, edited and dropped; the model is a list of numbers a spool."""

    spools = Bundle("spools")
    entries = Bundle("entries")
    screens = Bundle("screens")

    def __init__(self, books: Kept) -> None:
        super().__init__()
        self.books = books
        self.booked: dict[int, list[int]] = {}
        self.newest: dict[int, Spool] = {}
        self.opposed: set[int] = set()
        self.changes = self._now(lambda unit: unit.changes.last_number())
        self.material = books.add("materials", Material(name="PETG", density=1.27))
        self.changes += 1

    def _now(self, look: Callable[[UnitOfWork], T]) -> T:
        with self.books.read() as unit:
            return look(unit)

    @rule(target=spools, mg=MG)
    def receive(self, mg: int) -> int:
        with self.books.write(Press(who_id=THE_TOOL), "receive") as unit:
            number = unit.next_number("spool")
            spool = unit.spools.add(Spool(number=number, material_id=self.material.id, colour="grey"))
            unit.spool_entries.add(_entry(spool.id, SpoolEntryKind.RECEIVED, mg))
            unit.commit()
        self.newest[spool.id], self.booked[spool.id] = spool, [mg]
        self.changes += 2
        return spool.id

    @rule(target=entries, spool=spools, mg=MG)
    def book(self, spool: int, mg: int) -> SpoolEntry:
        self.booked[spool].append(mg)
        self.changes += 1
        entry: SpoolEntry = self.books.add("spool_entries", _entry(spool, SpoolEntryKind.PRINTED, mg))
        return entry

    @rule(entry=entries)
    def oppose(self, entry: SpoolEntry) -> None:
        if entry.id in self.opposed:
            return
        back = _entry(entry.spool_id, SpoolEntryKind.OPPOSED, -entry.mg)
        self.books.add("spool_entries", replace(back, opposes_id=entry.id))
        self.opposed.add(entry.id)
        self.booked[entry.spool_id].append(-entry.mg)
        self.changes += 1

    @rule(target=screens, spool=spools)
    def look(self, spool: int) -> Spool:
        return self._now(lambda unit: unit.spools.get(spool))

    @rule(target=screens, screen=screens, place=st.sampled_from(["rack", "dryer", "desk"]))
    def edit(self, screen: Spool, place: str) -> object:
        stale = screen.version != self.newest[screen.id].version
        if stale:
            with pytest.raises(StaleEdit):
                self.books.save("spools", replace(screen, place=place))
            return multiple()
        edited: Spool = self.books.save("spools", replace(screen, place=place))
        assert edited.version == screen.version + 1
        self.newest[edited.id] = edited
        self.changes += 1
        return edited

    @rule(spool=spools, mg=MG)
    def leave_without_commit(self, spool: int, mg: int) -> None:
        with self.books.write(Press(who_id=THE_TOOL), "book") as unit:
            unit.spool_entries.add(_entry(spool, SpoolEntryKind.PRINTED, mg))
            unit.spools.save(replace(unit.spools.get(spool), place="nowhere"))

    @rule(spool=spools, mg=MG)
    def press_twice(self, spool: int, mg: int) -> None:
        press = Press(who_id=THE_TOOL)
        with self.books.write(press, "book") as unit:
            unit.spool_entries.add(_entry(spool, SpoolEntryKind.PURGE, mg))
            unit.commit()
        with pytest.raises(AlreadyBooked), self.books.write(press, "book"):
            pytest.fail("booked twice")
        self.booked[spool].append(mg)
        self.changes += 1

    @rule(spool=spools, mg=MG)
    def refuse_and_go_on(self, spool: int, mg: int) -> None:
        with self.books.write(Press(who_id=THE_TOOL), "book") as unit:
            with pytest.raises(ShopError):
                unit.spool_entries.add(replace(_entry(spool, SpoolEntryKind.SCRAP, mg), run_id=10**9))
            unit.spool_entries.add(_entry(spool, SpoolEntryKind.SCRAP, mg))
            unit.commit()
        self.booked[spool].append(mg)
        self.changes += 1

    @invariant()
    def grams_are_the_sum_of_the_ledger(self) -> None:
        with self.books.read() as unit:
            totals = unit.spool_entries.totals("mg", "spool_id", among("spool_id", self.booked))
            assert totals == {spool: sum(amounts) for spool, amounts in self.booked.items()}
            found = unit.spools.find(among("id", self.newest))
            assert {spool.id: spool for spool in found} == self.newest
            assert unit.changes.last_number() == self.changes

    def teardown(self) -> None:
        """At the end the chain of all of it is whole."""
        with self.books.read() as unit:
            assert unit.changes.faults() == ()


def _entry(spool_id: int, kind: SpoolEntryKind, mg: int) -> SpoolEntry:
    return SpoolEntry(spool_id=spool_id, kind=kind, mg=mg, who_id=THE_TOOL)


def test_guards_and_ledger_hold_in_any_order(books: Kept) -> None:
    machine: Any = lambda: Ledger(books)  # noqa: E731 - a class with its books filled in
    run_state_machine_as_test(
        machine, settings=settings(max_examples=10, stateful_step_count=25, deadline=None)
    )
