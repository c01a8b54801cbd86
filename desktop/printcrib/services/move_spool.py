"""Where a spool is: on the rack, in the dryer, opened, thrown away; loading is `load_spool`."""

from dataclasses import replace
from datetime import datetime, timedelta

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press
from printcrib.services.read_runs import doubt_of, open_run_on


def put_on_rack(
    shop: Shop, press: Press, spool_id: int, place: str = "", *, dry: bool | None = None
) -> Done[Spool]:
    """The spool lies on the rack: off its printer or out of the dryer.

    Args:
        place: where on the rack, "" for where it was. dry: True when it was dried now, False when
            somebody found it damp.
    """
    with shop.write(press, "put spool on rack") as uow:
        spool = off_printer(uow, uow.spools.get(spool_id))
        dried = dry or (dry is None and spool.state is SpoolState.DRYER)
        spool = replace(
            spool,
            state=SpoolState.SEALED if spool.state is SpoolState.SEALED else SpoolState.SHELF,
            place=place.strip() or spool.place,
            dryer_until=None,
            dried_at=uow.happened_at if dried else spool.dried_at,
            damp=spool.damp if dry is None and not dried else not dried,
        )
        done = _kept(uow, spool)
    return repair_after(shop, press, done)


def put_in_dryer(shop: Shop, press: Press, spool_id: int, until: datetime | None = None) -> Done[Spool]:
    """The spool dries until then; the plan may use it from that time on.

    Args:
        until: UTC; None for as long as its material needs.
    """
    with shop.write(press, "put spool in dryer") as uow:
        spool = off_printer(uow, uow.spools.get(spool_id))
        hours = uow.materials.get(spool.material_id).drying_hours
        if until is None and hours is None:
            raise ShopError("Nobody knows how long that material dries", "Say until when.")
        end = until if until is not None else uow.happened_at + timedelta(hours=hours or 0.0)
        opened = spool.opened_at or uow.happened_at
        spool = replace(spool, state=SpoolState.DRYER, dryer_until=end, damp=False, opened_at=opened)
        done = _kept(uow, spool)
    return repair_after(shop, press, done)


def open_spool(shop: Shop, press: Press, spool_id: int) -> Done[Spool]:
    """A sealed spool is opened: the plan may use it."""
    with shop.write(press, "open spool") as uow:
        spool = uow.spools.get(spool_id)
        if spool.state is not SpoolState.SEALED:
            raise ShopError(f"Spool {spool.tag} is not sealed", "Nothing more to do.")
        done = _kept(uow, replace(spool, state=SpoolState.SHELF, opened_at=uow.happened_at))
    return repair_after(shop, press, done)


def mark_damp(shop: Shop, press: Press, spool_id: int, damp: bool = True) -> Done[Spool]:
    """Somebody found the spool damp (or dry after all); the plan leaves a damp one alone."""
    with shop.write(press, "mark spool damp") as uow:
        done = _kept(uow, replace(uow.spools.get(spool_id), damp=damp))
    return repair_after(shop, press, done)


def throw_away(shop: Shop, press: Press, spool_id: int, why: str = "") -> Done[Spool]:
    """The spool is gone with all that was on it, which is booked as thrown away."""
    with shop.write(press, "throw spool away") as uow:
        spool = off_printer(uow, uow.spools.get(spool_id))
        left = doubt_of(uow, spool).left_mg
        uow.spool_entries.add(
            SpoolEntry(
                spool_id=spool.id,
                kind=SpoolEntryKind.THROWN_AWAY,
                mg=-left,
                who_id=uow.press.who_id,
                source=Source.ASSUMED,
                note=why.strip(),
            )
        )
        done = _kept(uow, replace(spool, state=SpoolState.GONE, dryer_until=None))
    return repair_after(shop, press, done)


def off_printer(uow: UnitOfWork, spool: Spool) -> Spool:
    """Take a spool off its printer within an open unit, unless a run draws from it."""
    if spool.state is SpoolState.GONE:
        raise ShopError(f"Spool {spool.tag} is gone", "Receive it again if it came back.")
    holder = uow.printers.one(is_("mounted_spool_id", spool.id))
    if holder is None:
        return spool
    run = open_run_on(uow, holder.id)
    if run is not None:
        raise ShopError(
            f"Spool {spool.tag} feeds run {run.number} on {holder.name}", "Take that run off first."
        )
    uow.printers.save(replace(holder, mounted_spool_id=None))
    return spool


def _kept(uow: UnitOfWork, spool: Spool) -> Done[Spool]:
    spool = uow.spools.save(spool)
    uow.commit()
    return Done(spool, uow.changed, uow.press_number)
