"""How many grams are left on a spool, and how sure the shop is of it.

The grams left are the plain sum of the spool's entries. Beside it runs the doubt: a Kalman
filter whose second state is the error of the empty reel's weight, because an unknown reel is
one error shared by all weigh-ins of that spool and must not be averaged away.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind

KAPPA = 0.05
"""Doubt (one sd) of a gram said to be printed, before weigh-ins teach better."""

KAPPA_ASSUMED = 0.10
"""The same when nobody told the grams and the tool's own figure stands (common practice, no source)."""

RECEIVED_DOUBT = 0.01
"""Doubt (one sd) of a label's net weight (common practice, no source)."""

SCALE_SD_MG = 1000.0
"""Doubt of a workshop scale (common practice, no source)."""

TARE_KNOWN_SD_MG = 1000.0
"""Doubt of an empty reel that was weighed."""

TARE_GUESSED_SD_MG = 25_000.0
"""Doubt of a guessed reel: plastic reels weigh 180 to 260 g (from memory)."""

TARE_GUESS_MG = 223_000
"""An empty plastic 1 kg reel somebody weighed; a guess for any other."""

HALF_BAND = 1.645
"""Half the 90 % band in standard deviations: what the screens show after "+-"."""

ASK_BEYOND = 3.0
"""A weigh-in further off than so many sd asks a question and merges nothing."""


@dataclass(frozen=True)
class Doubt:
    """Grams left with their doubt.

    Attributes:
        left_mg: sum of the entries. variance: of the grams left, mg squared.
        tare_off_mg, tare_variance, shared: what the weigh-ins say about the empty reel's error,
            and how it hangs together with the grams left (covariance).
        weighed: how many weigh-ins count.
    """

    left_mg: int
    variance: float
    tare_off_mg: float = 0.0
    tare_variance: float = 0.0
    shared: float = 0.0
    weighed: int = 0

    @property
    def sd_mg(self) -> float:
        """One standard deviation of the grams left, mg."""
        return math.sqrt(max(self.variance, 0.0))

    @property
    def half_band_mg(self) -> float:
        """Half the 90 % band, mg: what the screens show after "+-"."""
        return HALF_BAND * self.sd_mg


@dataclass(frozen=True)
class WeighIn:
    """What a weigh-in would do to the ledger.

    Attributes:
        z: how far off it is, in sd. change_mg: what would be booked. after: the doubt afterwards.
        asks: it is too far off to be merged; a person must say what is wrong.
    """

    z: float
    change_mg: int
    after: Doubt
    asks: bool


def opening(tare_guessed: bool) -> Doubt:
    """A spool before its first entry: nothing on it, and a doubt about its empty reel."""
    sd = TARE_GUESSED_SD_MG if tare_guessed else TARE_KNOWN_SD_MG
    return Doubt(0, 0.0, tare_variance=sd * sd)


def weigh_in(before: Doubt, net_mg: float, scale_sd_mg: float = SCALE_SD_MG) -> WeighIn:
    """Merge what the scale says (gross minus tare) with what the books say.

    A 1-D Kalman update with s^2 = scale^2 + tare^2 at the first weigh-in; later ones share the
    same error of the reel and so teach less.
    """
    spread = before.variance + 2 * before.shared + before.tare_variance + scale_sd_mg * scale_sd_mg
    off = net_mg - before.left_mg - before.tare_off_mg
    gain = (before.variance + before.shared) / spread
    tare_gain = (before.tare_variance + before.shared) / spread
    change = round(gain * off)
    after = Doubt(
        left_mg=before.left_mg + change,
        variance=before.variance - gain * gain * spread,
        tare_off_mg=before.tare_off_mg + tare_gain * off,
        tare_variance=before.tare_variance - tare_gain * tare_gain * spread,
        shared=before.shared - gain * tare_gain * spread,
        weighed=before.weighed + 1,
    )
    z = off / math.sqrt(spread)
    return WeighIn(z, change, after, abs(z) > ASK_BEYOND)


def trust_scale(before: Doubt, net_mg: int, scale_sd_mg: float = SCALE_SD_MG) -> WeighIn:
    """Take the scale's word over the books, after a person said the scale is right."""
    scale = scale_sd_mg * scale_sd_mg
    spread = before.variance + 2 * before.shared + before.tare_variance + scale
    after = replace(
        before,
        left_mg=net_mg,
        variance=before.tare_variance + scale,
        shared=-before.tare_variance,
        weighed=before.weighed + 1,
    )
    z = (net_mg - before.left_mg - before.tare_off_mg) / math.sqrt(spread)
    return WeighIn(z, net_mg - before.left_mg, after, False)


def counted(entries: Iterable[SpoolEntry]) -> list[SpoolEntry]:
    """The entries that count, oldest first: an entry and the one opposing it cancel out."""
    listed = [entry for entry in entries if not entry.void]
    opposed = {entry.opposes_id for entry in listed if entry.opposes_id is not None}
    kept = [entry for entry in listed if entry.opposes_id is None and entry.id not in opposed]
    return sorted(kept, key=lambda entry: entry.id)


def grams_left(entries: Iterable[SpoolEntry], tare_mg: int | None, tare_guessed: bool) -> Doubt:
    """What is left on a spool by its entries, with its doubt (mg).

    Args:
        entries: every entry of one spool. tare_mg: its empty reel, None for the usual guess.
        tare_guessed: whether that figure is a guess.
    """
    tare = TARE_GUESS_MG if tare_mg is None else tare_mg
    doubt = opening(tare_guessed or tare_mg is None)
    for entry in counted(entries):
        doubt = _book(doubt, entry, tare)
    return doubt


def _book(doubt: Doubt, entry: SpoolEntry, tare_mg: int) -> Doubt:
    """One entry: the grams move by exactly what was booked, the doubt by what kind it was."""
    left = doubt.left_mg + entry.mg
    if entry.gross_mg is not None and entry.kind is SpoolEntryKind.WEIGHED:
        return replace(weigh_in(doubt, entry.gross_mg - tare_mg).after, left_mg=left)
    if entry.gross_mg is not None:
        return replace(trust_scale(doubt, entry.gross_mg - tare_mg).after, left_mg=left)
    if entry.kind is SpoolEntryKind.THROWN_AWAY:
        return replace(doubt, left_mg=left, variance=0.0, shared=0.0)
    if entry.kind is SpoolEntryKind.RECEIVED:
        share = RECEIVED_DOUBT
    else:
        share = KAPPA_ASSUMED if entry.source is Source.ASSUMED else KAPPA
    return replace(doubt, left_mg=left, variance=doubt.variance + (share * entry.mg) ** 2)


def runs_out(need_mg: float, need_sd_mg: float, left_mg: float, left_sd_mg: float) -> float:
    """Probability that a run needing so much finds too little on the spool.

    Phi((need - left) / sqrt(s_left^2 + s_need^2)).
    """
    spread = math.hypot(need_sd_mg, left_sd_mg)
    if spread == 0.0:
        return 1.0 if need_mg > left_mg else 0.0
    return 0.5 * math.erfc((left_mg - need_mg) / (spread * math.sqrt(2.0)))


def usable_mg(left_mg: int, tail_mg: int) -> int:
    """What a run may count on: the last grams never come off a spool."""
    return max(left_mg - tail_mg, 0)
