"""Keep magnets, bushings, screws and threaded inserts: add a kind, receive, count."""

from dataclasses import replace

from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert, InsertEntry
from printcrib.core.people import Role
from printcrib.services.check_role import presser, require
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.save_edit import refuse_blank, save_edit

RECEIVED, COUNTED = "received", "counted"
MOST = 100_000


def add_insert(shop: Shop, press: Press, new: Insert) -> Done[Insert]:
    """A kind of insert the shop keeps from now on.

    Raises:
        ShopError: it has no name, its name is taken, or its maximum is below its minimum.
    """
    with shop.write(press, "add insert") as uow:
        require(uow, "add an insert", Role.DESK)
        _refuse_odd(uow, new)
        kept = uow.inserts.add(replace(new, name=new.name.strip()))
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)


def change_insert(shop: Shop, press: Press, edited: Insert) -> Done[Insert]:
    """Another name, minimum, maximum or price; or not kept any more."""
    with shop.write(press, "change insert") as uow:
        require(uow, "change an insert", Role.DESK)
        _refuse_odd(uow, edited)
        kept = save_edit(uow.inserts, replace(edited, name=edited.name.strip()))
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)


def receive_inserts(shop: Shop, press: Press, insert_id: int, amount: int) -> Done[int]:
    """So many came in; gives how many there are now."""
    if not 0 < amount <= MOST:
        raise ShopError(f"{amount} is not how many came in", "Type a number from 1.")
    with shop.write(press, "receive inserts") as uow:
        _book(uow, insert_id, RECEIVED, amount)
        left = inserts_left(uow, insert_id)
        uow.commit()
        return Done(left, uow.changed, uow.press_number)


def count_inserts(shop: Shop, press: Press, insert_id: int, counted: int) -> Done[int]:
    """Somebody counted them: the difference is booked; gives how many there are now."""
    if not 0 <= counted <= MOST:
        raise ShopError(f"{counted} is not how many there are", "Count again and type the number.")
    with shop.write(press, "count inserts") as uow:
        difference = counted - inserts_left(uow, insert_id)
        if difference:
            _book(uow, insert_id, COUNTED, difference)
        uow.commit()
        return Done(counted, uow.changed, uow.press_number)


def inserts_left(uow: UnitOfWork, insert_id: int) -> int:
    """How many there are by the books."""
    return uow.insert_entries.totals("amount", "insert_id", is_("insert_id", insert_id)).get(insert_id, 0)


def _book(uow: UnitOfWork, insert_id: int, kind: str, amount: int) -> None:
    insert = uow.inserts.get(insert_id)
    uow.insert_entries.add(InsertEntry(insert_id=insert.id, kind=kind, amount=amount, who_id=presser(uow).id))


def _refuse_odd(uow: UnitOfWork, told: Insert) -> None:
    refuse_blank(told.name, "An insert")
    if told.minimum < 0 or (told.maximum and told.maximum < told.minimum):
        raise ShopError("The maximum is below the minimum", "Give a larger maximum, or 0 for none.")
    same = uow.inserts.find(is_("active", True))
    if any(each.name.lower() == told.name.strip().lower() and each.id != told.id for each in same):
        raise ShopError(f"{told.name.strip()} is kept already", "Receive some of it instead.")
