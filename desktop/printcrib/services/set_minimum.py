"""Say how much of a material and colour the shop wants to have at least."""

from dataclasses import replace

from printcrib.core.errors import ShopError
from printcrib.core.materials import StockMinimum
from printcrib.core.people import Role
from printcrib.services.check_role import require
from printcrib.services.interfaces import Done, Shop, is_
from printcrib.services.press import Press

MOST_MG = 100_000_000


def set_minimum(
    shop: Shop, press: Press, material_id: int, colour: str, minimum_mg: int
) -> Done[StockMinimum]:
    """The least filament of one material and colour; 0 for none.

    Raises:
        ShopError: below 0 g or over 100 kg, or the presser may not.
    """
    if not 0 <= minimum_mg <= MOST_MG:
        raise ShopError("A minimum is between 0 g and 100 kg", "Type it again.")
    with shop.write(press, "set minimum") as uow:
        require(uow, "set a minimum", Role.DESK)
        uow.materials.get(material_id)
        kept = uow.stock_minimums.one(is_("material_id", material_id), is_("colour", colour))
        if kept is None:
            kept = uow.stock_minimums.add(
                StockMinimum(material_id=material_id, colour=colour, minimum_mg=minimum_mg)
            )
        elif kept.minimum_mg != minimum_mg:
            kept = uow.stock_minimums.save(replace(kept, minimum_mg=minimum_mg))
        uow.commit()
        return Done(kept, uow.changed, uow.press_number)
