"""Weigh a spool: the scale and the books are merged, each by how sure it is."""

from dataclasses import dataclass, replace

from printcrib.core.errors import ShopError
from printcrib.core.materials import Source, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.spool_ledger import (
    TARE_GUESS_MG,
    TARE_KNOWN_SD_MG,
    Doubt,
    WeighIn,
    grams_left,
    trust_scale,
    weigh_in,
)
from printcrib.core.units import grams_words
from printcrib.services.interfaces import Done, Shop, UnitOfWork, is_
from printcrib.services.plan_runs import repair_after
from printcrib.services.press import Press


@dataclass(frozen=True)
class Weighed:
    """What came of a weigh-in.

    Attributes:
        question: not "" when the scale is too far from the books; then nothing was booked.
        left_mg, half_band_mg: afterwards, or still where a question is open.
        change_mg: what was booked, or what the scale would change.
        z: how far the scale was from the books, in standard deviations of both.
    """

    spool: Spool
    left_mg: int
    half_band_mg: float
    change_mg: int
    z: float
    question: str = ""

    @property
    def words(self) -> str:
        """As the message strip says it."""
        if self.question:
            return self.question
        band = round(self.half_band_mg / 1000)
        return f"{self.spool.tag}: {grams_words(self.left_mg)} left, give or take {band} g."


def weigh_spool(
    shop: Shop,
    press: Press,
    spool_id: int,
    gross_mg: int,
    *,
    tare_mg: int | None = None,
    scale_is_right: bool = False,
) -> Done[Weighed]:
    """The scale shows so much with the reel; the difference that is believed is booked as an entry.

    Args:
        tare_mg: the empty reel, when it was weighed now. scale_is_right: a person's answer to the
            question; the grams are then those of the scale.

    Raises:
        ShopError: the scale shows less than the empty reel weighs, or the spool is gone.
    """
    with shop.write(press, "weigh spool") as uow:
        spool = uow.spools.get(spool_id)
        weighed = _weigh(uow, _with_tare(spool, tare_mg), gross_mg, scale_is_right)
        if weighed.question:
            return Done(weighed)
        if weighed.spool != spool:
            weighed = replace(weighed, spool=uow.spools.save(weighed.spool))
        uow.commit()
        done = Done(weighed, uow.changed, uow.press_number)
    return repair_after(shop, press, done)


def _with_tare(spool: Spool, tare_mg: int | None) -> Spool:
    if spool.state is SpoolState.GONE:
        raise ShopError(f"Spool {spool.tag} is gone", "Receive it again if it came back.")
    return spool if tare_mg is None else replace(spool, tare_mg=tare_mg, tare_guessed=False)


def _weigh(uow: UnitOfWork, spool: Spool, gross_mg: int, scale_is_right: bool) -> Weighed:
    tare = TARE_GUESS_MG if spool.tare_mg is None else spool.tare_mg
    net = gross_mg - tare
    if net < -3 * TARE_KNOWN_SD_MG and not spool.tare_guessed:
        raise ShopError(
            f"{grams_words(gross_mg)} is less than the empty reel ({grams_words(tare)})",
            "Weigh it again, or weigh the empty reel.",
        )
    entries = uow.spool_entries.find(is_("spool_id", spool.id))
    before = grams_left(entries, spool.tare_mg, spool.tare_guessed)
    told = trust_scale(before, net) if scale_is_right else weigh_in(before, net)
    if told.asks:
        return _asked(spool, before, told, net)
    kind = SpoolEntryKind.ADJUSTED if scale_is_right else SpoolEntryKind.WEIGHED
    uow.spool_entries.add(
        SpoolEntry(
            spool_id=spool.id,
            kind=kind,
            mg=told.change_mg,
            gross_mg=gross_mg,
            who_id=uow.press.who_id,
            source=Source.WEIGHED,
        )
    )
    if spool.state is SpoolState.EMPTY and told.after.left_mg > 0:
        spool = replace(spool, state=SpoolState.SHELF)
    return Weighed(spool, told.after.left_mg, told.after.half_band_mg, told.change_mg, told.z)


def _asked(spool: Spool, before: Doubt, told: WeighIn, net: int) -> Weighed:
    question = (
        f"The scale says {grams_words(net)}, the books say {grams_words(before.left_mg)}, give or take "
        f"{round(before.half_band_mg / 1000)} g. Wrong spool, wrong reel weight, or is the scale right?"
    )
    return Weighed(spool, before.left_mg, before.half_band_mg, told.change_mg, told.z, question)
