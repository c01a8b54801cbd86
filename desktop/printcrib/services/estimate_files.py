"""Answer "how long, how much, on which nozzle" for model files that are in nobody's books."""

from collections.abc import Iterable
from dataclasses import dataclass

from printcrib.core.estimating.fineness import allowed_nozzles
from printcrib.core.estimating.part import estimate_part
from printcrib.core.estimating.run import cost_of, estimate_run
from printcrib.core.estimating.settings import PrintSettings, typical_settings
from printcrib.core.patterns import Fineness
from printcrib.core.shapes import ModelFacts, fit_finding, fits
from printcrib.services.estimate_task import bores_of, material_for, settings_for
from printcrib.services.interfaces import MeshReader, UnitOfWork, is_

DEFAULT_PLATFORM_MM = (220.0, 220.0, 250.0)
DEFAULT_BORES_UM = (400, 600, 800, 1000)
DEFAULT_DENSITY = 1.24
"""The printer that answers where there is no shop: a 220 x 220 x 250 mm platform, four bores, typical
settings of core/estimating for each, PLA (1.24 g/cm3, Sci. Rep. 2022, s41598-022-22520-6), no prices."""


@dataclass(frozen=True)
class AskedNozzle:
    """One printer and nozzle a file is estimated for.

    Attributes:
        platform_mm: width, depth and height the printer can print.
        owned_um: bores there are on all printers, for the fineness rule.
        price_a_kg, rate_an_hour: thousandths of the currency; None when not told.
    """

    printer: str
    bore_um: int
    settings: PrintSettings
    platform_mm: tuple[float, float, float]
    owned_um: tuple[int, ...]
    price_a_kg: int | None = None
    rate_an_hour: int | None = None


@dataclass(frozen=True)
class NozzleAnswer:
    """Minutes, grams and cost of a run with this one copy, start and purge included."""

    printer: str
    bore_um: int
    minutes: float
    grams: float
    cost_thousandths: int | None
    allowed: bool


@dataclass(frozen=True)
class FileAnswer:
    """What one file holds and what it would take on each nozzle."""

    file: str
    facts: ModelFacts
    findings: tuple[tuple[str, str], ...]
    nozzles: tuple[NozzleAnswer, ...]


def default_nozzles() -> tuple[AskedNozzle, ...]:
    """The documented printer that answers where there is no shop."""
    return tuple(
        AskedNozzle(
            printer="default",
            bore_um=bore,
            settings=typical_settings(bore, DEFAULT_DENSITY),
            platform_mm=DEFAULT_PLATFORM_MM,
            owned_um=DEFAULT_BORES_UM,
        )
        for bore in DEFAULT_BORES_UM
    )


def shop_nozzles(uow: UnitOfWork) -> tuple[AskedNozzle, ...]:
    """Every printer and nozzle the shop owns, with its usual material."""
    material = material_for(uow, None)
    nozzles = uow.nozzles.find(is_("retired", False))
    owned = tuple(sorted({nozzle.bore_um for nozzle in nozzles}))
    return tuple(
        AskedNozzle(
            printer=printer.name,
            bore_um=bore,
            settings=settings_for(uow, printer, bore, material),
            platform_mm=(*printer.platform_mm, printer.height_mm),
            owned_um=owned,
            price_a_kg=material.price_per_kg_thousandths,
            rate_an_hour=printer.rate_thousandths,
        )
        for printer in uow.printers.find(is_("active", True))
        for bore in bores_of(nozzles, printer.id, material.abrasive)
    )


def estimate_file(
    reader: MeshReader, content: bytes, name: str, nozzles: Iterable[AskedNozzle], how_fine: Fineness
) -> FileAnswer:
    """Read one file and answer for every nozzle.

    Raises:
        ShopError: the file holds nothing that can be estimated.
    """
    model = reader.read(content, name)
    asked = tuple(nozzles)
    answers = []
    for each in asked:
        run = estimate_run((estimate_part(model.mesh, each.settings),), each.settings)
        fine_enough = each.bore_um in allowed_nozzles(how_fine.value, each.owned_um)
        answers.append(
            NozzleAnswer(
                printer=each.printer,
                bore_um=each.bore_um,
                minutes=run.minutes,
                grams=run.grams,
                cost_thousandths=cost_of(run.grams, run.minutes, each.price_a_kg, each.rate_an_hour),
                allowed=fine_enough and fits(model.facts.extents_mm, each.platform_mm),
            )
        )
    return FileAnswer(name, model.facts, _findings(model.facts, asked), tuple(answers))


def _findings(facts: ModelFacts, asked: tuple[AskedNozzle, ...]) -> tuple[tuple[str, str], ...]:
    """What the reader saw; a file no printer can take says so once, by the roomiest platform."""
    seen = [(finding.code, finding.words) for finding in facts.findings]
    roomiest = max(asked, key=lambda each: sum(each.platform_mm), default=None)
    if roomiest is not None and not any(fits(facts.extents_mm, each.platform_mm) for each in asked):
        too_large = fit_finding(facts.extents_mm, roomiest.platform_mm)
        seen += [(finding.code, finding.words) for finding in filter(None, [too_large])]
    return tuple(seen)
