"""Whether the spools named will do for a run, and what would do if not."""

from collections.abc import Sequence

from printcrib.core.errors import ShopError
from printcrib.core.materials import Spool, SpoolState
from printcrib.core.runs import Run
from printcrib.core.spool_ledger import usable_mg
from printcrib.core.units import grams_words
from printcrib.services.interfaces import UnitOfWork, among, is_
from printcrib.services.read_calendar import settings_of
from printcrib.services.read_runs import LIVE_SPOOLS, doubts_of, kind_words, spool_words


def refuse_wrong_material(uow: UnitOfWork, run: Run, spool: Spool) -> None:
    """Refuse a spool of another material or colour than the run is planned for."""
    if run.material_id is None or (spool.material_id, spool.colour) == (run.material_id, run.colour):
        return
    wanted = kind_words(uow.materials.get(run.material_id), run.colour)
    others = usable_on(uow, run, ())
    do = f"Load {_named(others)}." if others else f"No spool of {wanted} is on the rack; plan again."
    raise ShopError(f"{spool.tag} is {spool_words(uow, spool)}, run {run.number} needs {wanted}", do)


def refuse_too_few(uow: UnitOfWork, run: Run, spools: Sequence[Spool], need_mg: int) -> None:
    """Refuse to start with too few grams, and say what would do.

    Args:
        spools: those named, in order of use. need_mg: what the run takes.
    """
    settings = settings_of(uow)
    if run.changed_material:
        need_mg += settings.purge_mg
    left = doubts_of(uow, spools)
    have = sum(usable_mg(left[spool.id].left_mg, settings.tail_mg) for spool in spools)
    if have >= need_mg:
        return
    tags = " and ".join(spool.tag for spool in spools)
    what = f"{tags} can give {grams_words(have)}, run {run.number} takes {grams_words(need_mg)}"
    raise ShopError(what, _what_would_do(uow, run, spools, have, need_mg))


def _what_would_do(uow: UnitOfWork, run: Run, spools: Sequence[Spool], have: int, need_mg: int) -> str:
    others = usable_on(uow, run, spools)
    enough = [pair for pair in others if pair[1] >= need_mg]
    if enough:
        return f"Load {_named(enough)}, or name it as the second spool."
    together = [pair for pair in others if pair[1] + have >= need_mg]
    if together:
        return f"Name a second spool: {_named(together)}."
    return "Take copies off the run, open a new spool, or plan again."


def usable_on(uow: UnitOfWork, run: Run, without: Sequence[Spool]) -> list[tuple[Spool, int]]:
    """Spools of the run's material and colour that are free, with what they can give, fullest last."""
    material_id = run.material_id if run.material_id is not None else without[0].material_id
    colour = run.colour if run.material_id is not None else without[0].colour
    known = {spool.id for spool in without}
    elsewhere = {p.mounted_spool_id for p in uow.printers.find() if p.id != run.printer_id}
    found = [
        spool
        for spool in uow.spools.find(
            is_("material_id", material_id),
            is_("colour", colour),
            among("state", (*LIVE_SPOOLS, SpoolState.SEALED)),
        )
        if spool.id not in known and spool.id not in elsewhere
    ]
    left = doubts_of(uow, found)
    tail = settings_of(uow).tail_mg
    pairs = [(spool, usable_mg(left[spool.id].left_mg, tail)) for spool in found]
    return sorted((pair for pair in pairs if pair[1] > 0), key=lambda pair: pair[1])


def _named(pairs: Sequence[tuple[Spool, int]]) -> str:
    """The smallest that will do, with its grams."""
    spool, mg = pairs[0]
    return f"{spool.tag} ({grams_words(mg)})"
