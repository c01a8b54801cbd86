"""What the tool advises on a model: which nozzles lose features of it, its threads, how it best lies."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from printcrib.core.records import Record
from printcrib.core.units import bore_text

LOSS_PERCENT = 1.0  # less of a section is no lost feature (common practice, no source)
LOSS_MM2 = 1.0  # unless it is more than this much of it (common practice, no source)
LAYERS_A_PITCH = 5.0  # a thread needs so many layers a turn (common practice, no source)
LINES_A_FLANK = 2.0  # and so many line widths in half a pitch (common practice, no source)


@dataclass(frozen=True)
class NozzleFit:
    """What a model loses with one line width: features narrower than a line go, narrow slots close.

    Attributes:
        line_width_mm: of one line. layer_height_mm: of one layer.
        lost_percent: part of the section that goes, in the layer where most of it does.
        lost_mm2: the same as an area. lost_at_mm: height of that layer.
        welded_percent, welded_mm2, welded_at_mm: the same for slots welded shut, as part of the section.
    """

    bore_um: int
    line_width_mm: float
    layer_height_mm: float
    lost_percent: float = 0.0
    lost_mm2: float = 0.0
    lost_at_mm: float = 0.0
    welded_percent: float = 0.0
    welded_mm2: float = 0.0
    welded_at_mm: float = 0.0

    @property
    def loses(self) -> bool:
        """Whether a feature worth a word goes."""
        return _matters(self.lost_percent, self.lost_mm2)

    @property
    def welds(self) -> bool:
        """Whether a slot worth a word closes."""
        return _matters(self.welded_percent, self.welded_mm2)


@dataclass(frozen=True)
class Thread:
    """A thread about an upright axis.

    Attributes:
        pitch_mm: rise a turn. from_mm, to_mm: heights between which it was found.
        diameter_mm: mean of crest and root. inside: in a bore.
    """

    pitch_mm: float
    from_mm: float
    to_mm: float
    diameter_mm: float
    inside: bool

    def too_fine_for(self, fit: NozzleFit) -> bool:
        """Whether layers or lines are too coarse for it."""
        return self.coarseness(fit) > 1

    def coarseness(self, fit: NozzleFit) -> float:
        """Pitch the layers and lines would need over the pitch there is; more than 1 is too coarse."""
        needed = max(LAYERS_A_PITCH * fit.layer_height_mm, 2 * LINES_A_FLANK * fit.line_width_mm)
        return needed / self.pitch_mm


@dataclass(frozen=True)
class Rest:
    """One way a model can lie on the platform.

    Attributes:
        words: "as drawn", "left side down", "on a flat face of 12 cm2".
        turn: index of the right-angled turn; None where a flat face askew to the axes lies down.
        down: direction of the model as given that points to the platform.
        support_cm3: room for supports under undersides flatter than 45 degrees.
        foot_cm2: what touches the platform.
        height_mm: as it stands. minutes: likely print time; None where it was not worked out.
        steady: its foot is not too small for its height. bore_um: of the nozzle the minutes are for.
    """

    words: str
    turn: int | None
    down: tuple[float, float, float]
    support_cm3: float
    foot_cm2: float
    height_mm: float
    minutes: float | None = None
    steady: bool = True
    bore_um: int | None = None

    @property
    def reason(self) -> str:
        """Why it ranks where it does: "no support, 40 mm tall, about 92 min"."""
        support = f"{self.support_cm3:.1f} cm3 of support" if self.needs_support else "no support"
        said = f"{support}, {self.height_mm:.0f} mm tall"
        if self.minutes is not None:
            said += f", about {self.minutes:.0f} min" + (
                f" on {bore_text(self.bore_um)}" if self.bore_um else ""
            )
        return said if self.steady else f"{said}, small foot for its height"

    @property
    def needs_support(self) -> bool:
        """Whether there is support worth a word."""
        return self.support_cm3 >= 0.05


@dataclass(frozen=True, kw_only=True)
class Advice(Record):
    """What was found on one model for the nozzles of the shop; made anew when their settings change.

    Attributes:
        made_for: tells what it was made for, so that it is known when it no longer holds.
        nozzles: one for each bore, line width and layer height the shop prints with.
        rests: ways to lie on the platform, best first.
        places: SHA-256 of the kept file with the outlines of what is lost, "" where nothing is.
    """

    model_id: int
    made_for: str
    nozzles: tuple[NozzleFit, ...] = ()
    threads: tuple[Thread, ...] = ()
    rests: tuple[Rest, ...] = ()
    places: str = ""

    def fit_of(self, bore_um: int, line_width_mm: float, layer_height_mm: float) -> NozzleFit | None:
        """What is lost with these lines; None when nobody looked."""
        wanted = (bore_um, line_width_mm, layer_height_mm)
        same = (f for f in self.nozzles if (f.bore_um, f.line_width_mm, f.layer_height_mm) == wanted)
        return next(same, None)


@dataclass(frozen=True)
class Recommendation:
    """The nozzle the tool recommends and why, in a sentence."""

    bore_um: int
    words: str


def loss_words(fit: NozzleFit, threads: Sequence[Thread] = ()) -> str:
    """What one nozzle does to the model: "loses 12 % of the section at z = 14", "" for nothing."""
    said = []
    if fit.loses:
        said.append(
            f"loses {_share(fit.lost_percent, fit.lost_mm2)} of the section at z = {_mm(fit.lost_at_mm)}"
        )
    if fit.welds:
        slots = _share(fit.welded_percent, fit.welded_mm2)
        said.append(f"welds slots shut at z = {_mm(fit.welded_at_mm)} ({slots})")
    fine = [thread for thread in threads if thread.too_fine_for(fit)]
    if fine:
        said.append(f"is too coarse for the {_mm(min(thread.pitch_mm for thread in fine))} mm pitch thread")
    return " and ".join(said)


def loss_short(fit: NozzleFit, threads: Sequence[Thread] = ()) -> str:
    """The same in few words, for a narrow column: "loses 12 %, z 14", "" for nothing."""
    if fit.loses:
        return f"loses {_share(fit.lost_percent, fit.lost_mm2)}, z {_mm(fit.lost_at_mm)}"
    if fit.welds:
        return f"welds slots, z {_mm(fit.welded_at_mm)}"
    return "thread too fine" if any(thread.too_fine_for(fit) for thread in threads) else ""


def recommend(
    fits: Sequence[NozzleFit],
    threads: Sequence[Thread] = (),
    minutes: Mapping[int, float] | None = None,
    allowed: Sequence[int] | None = None,
) -> Recommendation | None:
    """The quickest nozzle that may be used and loses nothing; else the one that loses least.

    Args:
        fits: one a bore.
        threads: found in the model.
        minutes: likely minutes by bore; left out, the wider nozzle is taken to be quicker.
        allowed: bores that may be used; left out, all.
    """
    by_bore = {fit.bore_um: fit for fit in sorted(fits, key=lambda fit: fit.bore_um)}
    pool = [fit for bore, fit in by_bore.items() if allowed is None or bore in allowed]
    if not pool:
        return None

    def slowness(fit: NozzleFit) -> tuple[float, int]:
        return ((minutes or {}).get(fit.bore_um, 0.0), -fit.bore_um)

    sound = [fit for fit in pool if not loss_words(fit, threads)]
    if sound:
        best = min(sound, key=slowness)
        return Recommendation(best.bore_um, _why(best, pool, by_bore, threads, slowness(best)[0]))
    least = min(pool, key=lambda fit: (_harm(fit, threads), slowness(fit)))
    said = f"Use {bore_text(least.bore_um)}: it comes closest, but {loss_words(least, threads)}"
    finer = [bore for bore, fit in by_bore.items() if not loss_words(fit, threads)]
    return Recommendation(
        least.bore_um, f"{said}; {bore_text(max(finer))} keeps it." if finer else f"{said}."
    )


def _why(
    best: NozzleFit,
    pool: Sequence[NozzleFit],
    by_bore: Mapping[int, NozzleFit],
    threads: Sequence[Thread],
    minutes: float,
) -> str:
    """The nearest wider nozzle that loses something is the reason; else that it is quickest."""
    use = bore_text(best.bore_um)
    for bore, fit in by_bore.items():
        lost = loss_words(fit, threads)
        if bore > best.bore_um and lost:
            return f"{bore_text(bore)} mm {lost}: use {use}."
    if len(pool) == 1:
        return f"Use {use}: it keeps every feature and is the only one allowed."
    quick = "is done soonest" if minutes else "is the widest"
    return f"Use {use}: it keeps every feature and {quick}."


def _harm(fit: NozzleFit, threads: Sequence[Thread]) -> float:
    coarse = 100 * max(
        (thread.coarseness(fit) for thread in threads if thread.too_fine_for(fit)), default=0.0
    )
    return fit.lost_percent * fit.loses + fit.welded_percent * fit.welds + coarse


def _matters(percent: float, mm2: float) -> bool:
    return percent >= LOSS_PERCENT or mm2 >= LOSS_MM2


def _share(percent: float, mm2: float) -> str:
    return f"{percent:.0f} %" if percent >= LOSS_PERCENT else f"{mm2:.1f} mm2"


def _mm(value: float) -> str:
    """Whole millimetres from 10 on, else one decimal: "14", "2.5", "3"."""
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}".removesuffix(".0")
