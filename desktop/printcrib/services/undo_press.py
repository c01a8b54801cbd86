"""Undo a press: opposing bookings, allowed until a later record leans on what it did.

Everything comes from the change record. What was edited gets its earlier values back as a new
version, entries of a ledger get an opposing entry, and whatever else was made becomes void; its
numbers and tags are not given again.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from printcrib.core.aids import UseEntry, UseKind
from printcrib.core.asking import NOT_PRINTED
from printcrib.core.errors import NotFound, ShopError
from printcrib.core.materials import InsertEntry, SpoolEntry, SpoolEntryKind
from printcrib.core.people import Role
from printcrib.core.records import Record
from printcrib.core.requests import Copy
from printcrib.services.book_rules import KINDS, called, points_at
from printcrib.services.change_record import field_codecs, from_json, to_json
from printcrib.services.check_role import presser
from printcrib.services.interfaces import Change, Done, Shop, Table, UnitOfWork, Where, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press

UNDO = "undo"
LEDGERS = MappingProxyType({"spool_entries": "mg", "use_entries": "amount", "insert_entries": "amount"})
"""Tables whose entries are opposed, never changed, and the field that is summed up."""

KEPT = frozenset({"attachments", "estimates", "advice"})
"""Files as given and computed figures stay; nothing counts through them."""

LEANS_ON_AN_EDIT = MappingProxyType({"aids": ("use_entries",), "runs": ("failures", "spool_entries")})
"""Later records of these kinds lean on a thing that the press only edited, too."""

PLANNED = frozenset({"runs", "printers", "spools"})
"""Taking back what was done with these asks for the plan to be mended."""

MOST_ENTRIES = 200
"""So many of a ledger's newest entries are looked at for one that leans."""

LEDGER_OF = MappingProxyType({"use_entries": "aid_id", "spool_entries": "spool_id"})


@dataclass(frozen=True)
class Touched:
    """One record the press wrote to.

    Attributes:
        before: its values before the press; None when the press made it. after: what the press left.
    """

    thing: str
    key: int
    before: Mapping[str, Any] | None
    after: Mapping[str, Any]


@dataclass(frozen=True)
class Undone:
    """What was taken back.

    Attributes:
        verb: what the press did ("take off run"). restored, opposed, voided: how many records.
    """

    verb: str
    restored: int = 0
    opposed: int = 0
    voided: int = 0


def undo(shop: Shop, press: Press, press_number: int) -> Done[Undone]:
    """Take a press back, by the person who pressed, the desk or the lead.

    Raises:
        ShopError: a later record leans on it, it is undone already, or the presser may not.
        NotFound: there is no such press.
    """
    with shop.write(press, UNDO) as uow:
        changes = uow.changes.of_press(press_number)
        _refuse(uow, changes)
        touched = _touched(changes)
        for each in touched:
            _refuse_leaning(uow, each, changes[-1].number)
        undone = _take_back(uow, touched, changes[0].verb)
        _void_promises(uow, touched)
        uow.commit()
        done = Done(undone, uow.changed, uow.press_number)
    return repair_after(shop, press, done) if any(map(_concerns_plan, touched)) else done


def _concerns_plan(touched: Touched) -> bool:
    """Whether taking this back asks for the plan to be mended."""
    if touched.thing == "copies":
        states = {touched.after["state"], (touched.before or touched.after)["state"]}
        return bool(states & NOT_PRINTED)
    return touched.thing in PLANNED


def can_undo(uow: UnitOfWork, press_number: int) -> ShopError | None:
    """Why a press cannot be undone, as the sentence to show; None where it can."""
    try:
        changes = uow.changes.of_press(press_number)
        _refuse_verb(changes)
        for each in _touched(changes):
            _refuse_leaning(uow, each, changes[-1].number)
    except ShopError as refusal:
        return refusal
    return None


def _refuse(uow: UnitOfWork, changes: tuple[Change, ...]) -> None:
    _refuse_verb(changes)
    person = presser(uow)
    if person.id != changes[0].who_id and not person.may(Role.DESK, Role.LEAD):
        raise ShopError(f"Somebody else pressed {changes[0].verb}", "Ask that person, the desk or the lead.")


def _refuse_verb(changes: tuple[Change, ...]) -> None:
    if not changes:
        raise NotFound("There is no such press", "Look at the history of the record.")
    if changes[0].verb == UNDO:
        raise ShopError("That was an undo itself", "Book it again by hand.")


def _touched(changes: Iterable[Change]) -> tuple[Touched, ...]:
    """Each record of the press once, the one written first coming last."""
    first: dict[tuple[str, int], Change] = {}
    last: dict[tuple[str, int], Change] = {}
    for change in changes:
        if change.thing not in KEPT:
            first.setdefault((change.thing, change.thing_id), change)
            last[change.thing, change.thing_id] = change
    return tuple(
        Touched(thing, key, begun.before, last[thing, key].after or {})
        for (thing, key), begun in reversed(first.items())
    )


def _table(uow: UnitOfWork, thing: str) -> Table[Any]:
    table: Table[Any] = getattr(uow, thing)
    return table


def _refuse_leaning(uow: UnitOfWork, touched: Touched, last_number: int) -> None:
    record = _table(uow, touched.thing).get(touched.key)
    if not _same(record, touched.after):
        newest = uow.changes.of_thing(touched.thing, touched.key, limit=1)[0]
        if newest.verb == UNDO:
            raise ShopError("This is undone already", "Nothing more to do.")
        raise _leans(f"{called(touched.thing, record)} was changed since ({newest.verb})")
    if touched.thing in LEDGERS:
        _refuse_ledger(uow, touched, record)
        return
    if touched.thing == "machine_readings":
        of_machine = is_("machine_id", record.machine_id)
        if uow.machine_readings.count(of_machine, Where("id", ">", record.id)):
            raise _leans("the part counter was read since")
    for table, field_name in _pointers(touched):
        for later in _newest_standing(uow, table, is_(field_name, touched.key)):
            if uow.changes.of_thing(table, later.id)[-1].number > last_number:
                thing = called(touched.thing, record)
                raise _leans(f"{called(table, later)} came later and leans on {thing}")


def _same(record: Any, after: Mapping[str, Any]) -> bool:
    """Whether a record is as the press left it; what came later and was undone since does not count."""
    now = to_json(record)
    passed_over = {"version", "recorded_at"}
    if isinstance(record, Copy) and {now["state"], after["state"]} <= NOT_PRINTED:
        passed_over |= {"state", "run_id"}  # the plan puts copies on runs by itself; that leans on nothing
    return all(now[name] == after[name] for name in now.keys() & after.keys() - passed_over)


def _newest_standing(uow: UnitOfWork, table: str, pointing: Where) -> tuple[Any, ...]:
    """The newest record that points at a thing and still counts, if any."""
    if table not in LEDGERS:
        return _table(uow, table).find(pointing, newest_first=True, limit=1)
    entries = _table(uow, table).find(pointing, newest_first=True, limit=MOST_ENTRIES)
    opposed = {entry.opposes_id for entry in entries}
    return tuple(each for each in entries if each.opposes_id is None and each.id not in opposed)[:1]


def _leans(what: str) -> ShopError:
    return ShopError(f"This cannot be undone any more: {what}", "Undo that first, or book a correction.")


def _pointers(touched: Touched) -> Iterator[tuple[str, str]]:
    """Tables and fields whose later records lean on this thing."""
    tables = KINDS if touched.before is None else LEANS_ON_AN_EDIT.get(touched.thing, ())
    for table in tables:
        if table not in KEPT:
            for field_name in field_codecs(KINDS[table].record):
                if points_at(table, field_name) == touched.thing:
                    yield table, field_name


def _refuse_ledger(uow: UnitOfWork, touched: Touched, entry: Any) -> None:
    table = _table(uow, touched.thing)
    if table.count(is_("opposes_id", entry.id)):
        raise ShopError("This is undone already", "Nothing more to do.")
    if entry.opposes_id is not None:
        raise ShopError("That was an opposing booking itself", "Book it again by hand.")
    owner = LEDGER_OF.get(touched.thing)
    if owner is None:
        return
    for later in table.find(is_(owner, getattr(entry, owner)), Where("id", ">", entry.id)):
        if _measures(later) and not table.count(is_("opposes_id", later.id)):
            raise _leans("it was weighed or corrected since")


def _measures(entry: Any) -> bool:
    """A weigh-in or a correction rests on all that was booked before it."""
    if isinstance(entry, SpoolEntry):
        return entry.gross_mg is not None and entry.opposes_id is None
    return bool(entry.kind is UseKind.CORRECTION)


def _take_back(uow: UnitOfWork, touched: Iterable[Touched], verb: str) -> Undone:
    restored = opposed = voided = 0
    for each in touched:
        table = _table(uow, each.thing)
        record = table.get(each.key)
        if each.before is not None:
            earlier: Record = from_json(KINDS[each.thing].record, each.before)
            table.save(replace(earlier, version=record.version))
            restored += 1
        elif each.thing in LEDGERS:
            table.add(_opposing(record, LEDGERS[each.thing], uow.press.who_id))
            opposed += 1
        else:
            table.save(replace(record, void=True))
            voided += 1
    return Undone(verb, restored, opposed, voided)


def _void_promises(uow: UnitOfWork, touched: Iterable[Touched]) -> None:
    """What was promised for a request that is no longer accepted is neither kept nor broken."""
    for each in touched:
        if each.thing == "requests" and not uow.requests.get(each.key).accepted_at:
            for promise in uow.promises.find(is_("request_id", each.key), is_("outcome", "")):
                uow.promises.save(replace(promise, outcome="void", why="accepting it was undone"))


def _opposing(entry: Any, amount_field: str, who_id: int) -> Any:
    """The entry that takes another back, at the moment the other happened."""
    kinds: dict[type[Any], str] = {SpoolEntry: SpoolEntryKind.OPPOSED, UseEntry: UseKind.OPPOSED}
    opposing = replace(
        entry,
        id=0,
        version=0,
        kind=kinds.get(type(entry), "opposed"),
        who_id=who_id,
        opposes_id=entry.id,
        **{amount_field: -getattr(entry, amount_field)},
    )
    if isinstance(opposing, SpoolEntry):
        return replace(opposing, gross_mg=None)
    if isinstance(opposing, InsertEntry):
        return opposing
    return replace(opposing, counted_from=None, counted_to=None)
