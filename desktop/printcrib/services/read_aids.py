"""Copy the aids out of the books with their counts and use entries; nothing is computed meanwhile."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from printcrib.core.aids import Aid, AidState, Machine, UseEntry
from printcrib.core.calendar import ShopCalendar, shop_day
from printcrib.core.patterns import Pattern, Size
from printcrib.core.requests import CopyState
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.read_calendar import calendar_of
from printcrib.services.read_use import counts_of, recent_use


@dataclass(frozen=True)
class Books:
    """What the forecast reads, copied out of the shop's books."""

    now: datetime
    calendar: ShopCalendar
    aids: tuple[Aid, ...]
    sizes: Mapping[int, Size]
    pattern_of: Mapping[int, Pattern]
    machines: Mapping[int, Machine]
    spare_ids: frozenset[int]
    counts: Mapping[int, int] = field(default_factory=dict)
    entries: Mapping[int, tuple[UseEntry, ...]] = field(default_factory=dict)

    @property
    def today(self) -> date:
        """The date on the shop's wall."""
        return shop_day(self.now, self.calendar.zone)


def read_books(uow: UnitOfWork, size_id: int | None = None) -> Books:
    """Every aid with counts and use entries, within an open unit.

    Args:
        size_id: only the aids of this size, for the page of one aid.
    """
    return _with_entries(uow, _with_counts(uow, _things(uow, size_id)))


def read_in_steps(shop: Shop, size_id: int | None = None) -> Books:
    """The same for a screen, in three short units, so that nobody who books has to wait long."""
    with shop.read() as uow:
        books = _things(uow, size_id)
    with shop.read() as uow:
        books = _with_counts(uow, books)
    with shop.read() as uow:
        return _with_entries(uow, books)


def _things(uow: UnitOfWork, size_id: int | None) -> Books:
    of_size = () if size_id is None else (is_("size_id", size_id),)
    aids = uow.aids.find(*of_size, order_by="number")
    sizes = {size.id: size for size in uow.sizes.find(among("id", {aid.size_id for aid in aids}))}
    patterns = {pattern.id: pattern for pattern in uow.patterns.find()}
    return Books(
        now=uow.now,
        calendar=calendar_of(uow),
        aids=aids,
        sizes=sizes,
        pattern_of={key: patterns[size.pattern_id] for key, size in sizes.items()},
        machines={machine.id: machine for machine in uow.machines.find()},
        spare_ids=_spare_ids(uow, aids),
    )


def _with_counts(uow: UnitOfWork, books: Books) -> Books:
    counts = counts_of(uow, books.aids, books.pattern_of, books.calendar.zone, *_only(books))
    return replace(books, counts=counts)


def _with_entries(uow: UnitOfWork, books: Books) -> Books:
    working = [aid for aid in books.aids if aid.state is not AidState.RETIRED]
    return replace(books, entries=recent_use(uow, working, *_only(books)))


def _only(books: Books) -> tuple[Where, ...]:
    """Where it is one size, only its own use entries are read."""
    return (among("aid_id", [aid.id for aid in books.aids]),) if len(books.sizes) == 1 else ()


def _spare_ids(uow: UnitOfWork, aids: Iterable[Aid]) -> frozenset[int]:
    """Aids that lie on the shelf and were never used; a ready one still waits for who asked for it."""
    on_shelf = {aid.copy_id: aid.id for aid in aids if aid.state is AidState.SHELF and not aid.in_use_since}
    shelved = uow.copies.find(among("id", on_shelf), is_("state", CopyState.SHELVED))
    return frozenset(on_shelf[copy.id] for copy in shelved)
