"""A new spool comes into the shop."""

from dataclasses import dataclass

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.spool_ledger import TARE_GUESS_MG
from printcrib.services.interfaces import Done, Shop, UnitOfWork
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press

MOST_MG = 20_000_000


@dataclass(frozen=True, kw_only=True)
class NewSpool:
    """What the label says, and the scale if somebody weighed it.

    Attributes:
        net_mg: filament by the label. gross_mg: what the scale shows with the reel.
        tare_mg: the empty reel, None when nobody knows; tare_guessed: whether that is a guess.
        sealed: still in its bag; the plan leaves it alone until it is opened.
    """

    material_id: int
    colour: str
    net_mg: int = 1_000_000
    lot: str = ""
    gross_mg: int | None = None
    tare_mg: int | None = None
    tare_guessed: bool = True
    density: float | None = None
    density_source: str = ""
    price_thousandths: int | None = None
    place: str = ""
    sealed: bool = True


def receive_spool(shop: Shop, press: Press, new: NewSpool) -> Done[Spool]:
    """Book a new spool with its number; its grams are the scale's where it was weighed, else the label's.

    Raises:
        ShopError: no colour was named, or the grams make no sense.
    """
    if not new.colour.strip():
        raise ShopError("The spool has no colour", "Write its colour in one word.")
    with shop.write(press, "receive spool") as uow:
        spool = receive_in(uow, new)
        uow.commit()
        done = Done(spool, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def receive_in(uow: UnitOfWork, new: NewSpool) -> Spool:
    """Book a new spool within an open unit."""
    tare_mg = TARE_GUESS_MG if new.tare_mg is None else new.tare_mg
    mg = new.net_mg if new.gross_mg is None else new.gross_mg - tare_mg
    if not 0 < mg <= MOST_MG:
        raise ShopError(f"{mg / 1000:g} g of filament make no sense", "Look at the label or the scale again.")
    uow.materials.get(new.material_id)
    spool = uow.spools.add(
        Spool(
            number=uow.next_number("spool"),
            material_id=new.material_id,
            colour=new.colour.strip(),
            lot=new.lot.strip(),
            nominal_mg=new.net_mg,
            tare_mg=new.tare_mg,
            tare_guessed=new.tare_guessed or new.tare_mg is None,
            density=new.density,
            density_source=new.density_source,
            price_thousandths=new.price_thousandths,
            state=SpoolState.SEALED if new.sealed else SpoolState.SHELF,
            place=new.place.strip(),
            opened_at=None if new.sealed else uow.happened_at,
        )
    )
    uow.spool_entries.add(
        SpoolEntry(
            spool_id=spool.id,
            kind=SpoolEntryKind.RECEIVED,
            mg=mg,
            who_id=uow.press.who_id,
            source=Source.ASSUMED if new.gross_mg is None else Source.WEIGHED,
            note="by the label" if new.gross_mg is None else "",
        )
    )
    return spool
