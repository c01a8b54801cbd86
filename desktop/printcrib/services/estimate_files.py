"""Answer "how long, how much, on which nozzle" for model files that are in nobody's books."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from printcrib.core.advice import NozzleFit, Recommendation, Thread, loss_words, recommend
from printcrib.core.errors import ShopError
from printcrib.core.estimating.features import feature_losses, threads_in
from printcrib.core.estimating.fineness import allowed_nozzles
from printcrib.core.estimating.learning import NO_GRAMS, NO_PRINTS, Learned
from printcrib.core.estimating.part import PartEstimate, estimate_part
from printcrib.core.estimating.paths.estimate import estimate_by_paths
from printcrib.core.estimating.run import cost_of, estimate_run
from printcrib.core.estimating.settings import PrintSettings, settings_with, typical_settings
from printcrib.core.holes import estimable
from printcrib.core.materials import Material
from printcrib.core.patterns import Fineness
from printcrib.core.shapes import Mesh, ModelFacts, fit_finding, fits
from printcrib.core.units import bore_text
from printcrib.services.estimate_task import bores_of, material_for, settings_for
from printcrib.services.interfaces import MeshReader, UnitOfWork, is_
from printcrib.services.learn_times import read_taught

DEFAULT_PLATFORM_MM = (220.0, 220.0, 250.0)
DEFAULT_BORES_UM = (400, 600, 800, 1000)
DEFAULT_DENSITY = 1.24
"""The printer that answers where there is no shop: a 220 x 220 x 250 mm platform, four bores, typical
settings of core/estimating for each, PLA (1.24 g/cm3, Sci. Rep. 2022, s41598-022-22520-6), no prices."""


TIERS: Mapping[int, Callable[[Mesh, PrintSettings], PartEstimate]] = {1: estimate_part, 2: estimate_by_paths}
"""How an estimate is made: 1 at once from the layers, 2 from paths laid out on key layers."""


@dataclass(frozen=True)
class Wishes:
    """What an answer is asked for instead of what is usual.

    Attributes:
        bores_um: only these nozzles; empty for all there are.
        material: None for the usual one.
        changes: settings by name that replace those of every nozzle.
    """

    bores_um: tuple[int, ...] = ()
    material: Material | None = None
    changes: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class AskedNozzle:
    """One printer and nozzle a file is estimated for.

    Attributes:
        platform_mm: width, depth and height the printer can print.
        owned_um: bores there are on all printers, for the fineness rule.
        price_a_kg, rate_an_hour: thousandths of the currency; None when not told.
        of_minutes, of_grams: what its prints have taught.
    """

    printer: str
    bore_um: int
    settings: PrintSettings
    platform_mm: tuple[float, float, float]
    owned_um: tuple[int, ...]
    price_a_kg: int | None = None
    rate_an_hour: int | None = None
    of_minutes: Learned = NO_PRINTS
    of_grams: Learned = NO_GRAMS


@dataclass(frozen=True)
class NozzleAnswer:
    """Minutes, grams and cost of a run with this one copy, start and purge included.

    Attributes:
        minutes, grams: likely. minutes_at_most, grams_at_most: nine prints of ten stay within; the upper end
            of the range where the model is not to be trusted.
        support_grams: part of the grams that is in supports. tier: see TIERS.
        lost_percent: part of the section narrower than a line, where it is most.
        lost: what it does to features of the model, in words, "" for nothing.
        minutes_range, grams_range: all that can be said of an untrustworthy model; None for a sound one.
    """

    printer: str
    bore_um: int
    minutes: float
    grams: float
    cost_thousandths: int | None
    allowed: bool
    minutes_at_most: float
    grams_at_most: float
    support_grams: float
    tier: int
    lost_percent: float = 0.0
    lost: str = ""
    minutes_range: tuple[float, float] | None = None
    grams_range: tuple[float, float] | None = None


@dataclass(frozen=True)
class FileAnswer:
    """What one file holds and what it would take on each nozzle; recommended of those allowed."""

    file: str
    facts: ModelFacts
    findings: tuple[tuple[str, str], ...]
    nozzles: tuple[NozzleAnswer, ...]
    recommended: Recommendation | None = None


def material_named(materials: Iterable[Material], name: str) -> Material:
    """The material of a name, however it is written.

    Raises:
        ShopError: there is none; the sentence names those there are.
    """
    known = {material.name.casefold(): material for material in materials}
    found = known.get(name.strip().casefold())
    if found is None:
        names = ", ".join(material.name for material in known.values())
        raise ShopError(f"There is no material called {name}", f"Choose one of {names}.")
    return found


def default_nozzles(wishes: Wishes | None = None) -> tuple[AskedNozzle, ...]:
    """The documented printer that answers where there is no shop; it has any nozzle asked for."""
    wishes = wishes or Wishes()
    density = wishes.material.density if wishes.material else DEFAULT_DENSITY
    return tuple(
        AskedNozzle(
            printer="default",
            bore_um=bore,
            settings=settings_with(typical_settings(bore, density), wishes.changes),
            platform_mm=DEFAULT_PLATFORM_MM,
            owned_um=tuple(sorted({*DEFAULT_BORES_UM, *wishes.bores_um})),
        )
        for bore in wishes.bores_um or DEFAULT_BORES_UM
    )


def shop_nozzles(uow: UnitOfWork, wishes: Wishes | None = None) -> tuple[AskedNozzle, ...]:
    """Every printer and nozzle the shop owns, with its usual material unless another is wished.

    Raises:
        ShopError: the shop has none of the nozzles asked for.
    """
    wishes = wishes or Wishes()
    material = wishes.material or material_for(uow, None)
    nozzles = uow.nozzles.find(is_("retired", False))
    owned = tuple(sorted({nozzle.bore_um for nozzle in nozzles}))
    printers = uow.printers.find(is_("active", True))
    taught = read_taught(uow, (printer.id for printer in printers))
    asked = tuple(
        AskedNozzle(
            printer=printer.name,
            bore_um=bore,
            settings=settings_with(settings_for(uow, printer, bore, material), wishes.changes),
            platform_mm=(*printer.platform_mm, printer.height_mm),
            owned_um=owned,
            price_a_kg=material.price_per_kg_thousandths,
            rate_an_hour=printer.rate_thousandths,
            of_minutes=taught.of(printer.id, bore).minutes,
            of_grams=taught.of(printer.id, bore).grams,
        )
        for printer in printers
        for bore in bores_of(nozzles, printer.id, material.abrasive)
        if not wishes.bores_um or bore in wishes.bores_um
    )
    if wishes.bores_um and not asked:
        bores = ", ".join(map(bore_text, owned)) or "none yet"
        raise ShopError("No printer has such a nozzle for this material", f"Nozzles in the shop: {bores}.")
    return asked


def estimate_file(
    reader: MeshReader,
    content: bytes,
    name: str,
    nozzles: Iterable[AskedNozzle],
    how_fine: Fineness,
    tier: int = 1,
) -> FileAnswer:
    """Read one file and answer for every nozzle, in one of TIERS.

    Raises:
        ShopError: the file holds nothing that can be estimated.
    """
    model = reader.read(content, name)
    asked = tuple(nozzles)
    mesh = estimable(model.mesh, model.facts.findings)
    losses, threads = _fits(mesh, asked)
    answers = tuple(
        replace(
            _answer(each, mesh, model.facts, how_fine, tier),
            lost_percent=losses[_lines_of(each)].lost_percent,
            lost=loss_words(losses[_lines_of(each)], threads),
        )
        for each in asked
    )
    told = _recommended(answers, [losses[_lines_of(each)] for each in asked], threads)
    return FileAnswer(name, model.facts, _findings(model.facts, asked), answers, told)


def _answer(each: AskedNozzle, mesh: Mesh, facts: ModelFacts, how_fine: Fineness, tier: int) -> NozzleAnswer:
    part = TIERS[tier](mesh, each.settings)
    run = estimate_run((part,), each.settings)
    minutes = each.of_minutes.likely(run.minutes, run.start_minutes)
    grams = each.of_grams.likely(run.grams)
    wide = 1 + facts.doubt
    most_minutes = each.of_minutes.at_most(run.minutes, run.start_minutes) * wide
    most_grams = each.of_grams.at_most(run.grams) * wide
    fine_enough = each.bore_um in allowed_nozzles(how_fine.value, each.owned_um)
    return NozzleAnswer(
        printer=each.printer,
        bore_um=each.bore_um,
        minutes=minutes,
        grams=grams,
        cost_thousandths=cost_of(grams, minutes, each.price_a_kg, each.rate_an_hour),
        allowed=fine_enough and fits(facts.extents_mm, each.platform_mm),
        minutes_at_most=most_minutes,
        grams_at_most=most_grams,
        support_grams=part.support_grams,
        tier=tier,
        minutes_range=_range(minutes / wide, most_minutes, facts),
        grams_range=_range(grams / wide, most_grams, facts),
    )


def _range(at_least: float, at_most: float, facts: ModelFacts) -> tuple[float, float] | None:
    """What stands for the figures of a model that is not to be trusted."""
    return (at_least, at_most) if facts.doubt else None


def _lines_of(asked: AskedNozzle) -> tuple[int, float, float]:
    return asked.bore_um, asked.settings.line_width_mm, asked.settings.layer_height_mm


def _fits(
    mesh: Mesh, asked: tuple[AskedNozzle, ...]
) -> tuple[dict[tuple[int, float, float], NozzleFit], tuple[Thread, ...]]:
    """What each kind of line loses of the model, and its threads."""
    lines = sorted({_lines_of(each) for each in asked})
    if not lines:
        return {}, ()
    losses = feature_losses(mesh, [NozzleFit(*line) for line in lines])
    threads = threads_in(mesh, min(height for _, _, height in lines))
    return dict(zip(lines, (loss.fit for loss in losses), strict=True)), threads


def _recommended(
    answers: tuple[NozzleAnswer, ...], fits: list[NozzleFit], threads: tuple[Thread, ...]
) -> Recommendation | None:
    """Of the nozzles allowed, the quickest printer of each bore counting."""
    quickest: dict[int, tuple[float, NozzleFit]] = {}
    for answer, fit in zip(answers, fits, strict=True):
        if answer.bore_um not in quickest or answer.minutes < quickest[answer.bore_um][0]:
            quickest[answer.bore_um] = (answer.minutes, fit)
    allowed = {answer.bore_um for answer in answers if answer.allowed}
    minutes = {bore: minutes for bore, (minutes, _) in quickest.items()}
    return recommend([fit for _, fit in quickest.values()], threads, minutes, tuple(allowed))


def _findings(facts: ModelFacts, asked: tuple[AskedNozzle, ...]) -> tuple[tuple[str, str], ...]:
    """What the reader saw; a file no printer can take says so once, by the roomiest platform."""
    seen = [(finding.code, finding.words) for finding in facts.findings]
    roomiest = max(asked, key=lambda each: sum(each.platform_mm), default=None)
    if roomiest is not None and not any(fits(facts.extents_mm, each.platform_mm) for each in asked):
        too_large = fit_finding(facts.extents_mm, roomiest.platform_mm)
        seen += [(finding.code, finding.words) for finding in filter(None, [too_large])]
    return tuple(seen)
