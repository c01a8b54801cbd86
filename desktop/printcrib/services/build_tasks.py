"""The planner's tasks from the open requests: copies that stay together, with minutes and grams per bore."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from printcrib.core.asking import needed_of
from printcrib.core.patterns import Estimate, Model
from printcrib.core.planning.clock import PlanClock
from printcrib.core.planning.problem import PlanTask
from printcrib.core.planning.rows import copies_that_fit
from printcrib.core.printers import Printer
from printcrib.core.requests import Copy, HoldKind, Request
from printcrib.core.running import standing_mm
from printcrib.core.runs import Plan
from printcrib.core.safety import gate, is_live
from printcrib.core.spool_ledger import usable_mg
from printcrib.services.build_floor import longest_shift, may_be_used, may_run_alone, text_of
from printcrib.services.estimate_run import TRAVEL_MINUTES, printing_minutes
from printcrib.services.estimate_task import bores_allowed
from printcrib.services.learn_times import Taught
from printcrib.services.read_open_work import OpenWork
from printcrib.services.read_runs import kind_words

NEVER_DUE = 10_000_000
"""The minute a request without a needed-by is due: long after everything."""

STOPPING = frozenset({HoldKind.NEEDS_MODEL, HoldKind.QUESTION, HoldKind.SAFETY, HoldKind.NO_SPOOL})
"""Holds that stop printing; an open review does so only where the desk says wait."""


@dataclass(frozen=True)
class TaskCopies:
    """One task of the planner in the shop's words: copies of one request that stay together."""

    request: Request
    copies: tuple[Copy, ...]
    material_id: int
    colour: str
    plan_task: PlanTask


def task_key(copies: tuple[Copy, ...]) -> str:
    """What the planner calls a task: the key of its first copy, the same in every plan."""
    return str(copies[0].id)


def stop_words(work: OpenWork, request: Request) -> str:
    """Why a request is not printed now, by its holds; "" when nothing stops it."""
    for hold in work.holds.get(request.id, ()):
        if hold.kind in STOPPING or (hold.kind is HoldKind.REVIEW and request.wait_for_release):
            return f"held: {hold.kind.value}"
    return ""


class TaskMaker:
    """Makes the tasks of one request.

    Attributes:
        options: the estimate by printer and bore it may use. text: material and colour for the planner.
    """

    def __init__(self, work: OpenWork, request: Request, at_most: bool = False) -> None:
        self.work, self.request, self.at_most = work, request, at_most
        self.model = work.model_of(request)
        self.doubt = self.model.doubt if self.model else 0.0
        self.material_id = request.material_id or 0
        self.colour = request.colour or colour_for(work, self.material_id)
        self.text = kind_words(work.materials.get(self.material_id), self.colour)
        self.bores, self.not_released = released_bores(work, request, self.model)
        self.options = self._options()

    def missing(self) -> str:
        """Why no task can be made of it; "" when one can."""
        if self.model is None:
            return "needs a model"
        if not self.material_id:
            return "needs a material"
        if self.not_released:
            return self.not_released
        return "" if self.options else "has no estimate on a nozzle it may use"

    def _options(self) -> dict[int, dict[int, Estimate]]:
        found: dict[int, dict[int, Estimate]] = {}
        if self.model is None:
            return found
        for printer in self.work.printers:
            keys = {bore: (self.model.id, printer.id, bore, self.material_id) for bore in self.bores}
            known = self.work.estimates
            bores = {bore: known[key] for bore, key in keys.items() if key in known}
            if bores and self.standing[2] <= printer.height_mm:
                found[printer.id] = bores
        return found

    @property
    def standing(self) -> tuple[float, float, float]:
        """Width, depth and height of a copy as it is printed, mm."""
        extents, turn = (self.model.extents_mm, self.model.turn) if self.model else ((0.0, 0.0, 0.0), 0)
        return standing_mm(extents, turn)

    def minutes(self, estimate: Estimate, count: int) -> int:
        """Printing minutes of so many copies together, without the start.

        At most reaches as far as the range of a model that is not to be trusted.
        """
        learned = self._taught(estimate).minutes
        start = estimate.start_minutes
        computed = start + printing_minutes((estimate,) * count)
        whole = learned.likely(computed, start)
        if self.at_most:
            whole = learned.at_most(computed, start) * (1 + self.doubt)
        return math.ceil(whole - learned.once(start))

    def part_mg(self, estimate: Estimate) -> int:
        """Filament of one copy, without the start of its run."""
        return round(self._taught(estimate).grams.likely(estimate.part_mg))

    def _taught(self, estimate: Estimate) -> Taught:
        return self.work.taught.of(estimate.printer_id, estimate.bore_um)

    def most_together(self, count: int) -> int:
        """How many of so many copies stay together: what every printer that can print one holds and ends."""
        if count < 2:
            return 1
        counts = [
            self._most_on(printer, count) for printer in self.work.printers if printer.id in self.options
        ]
        return min((most for most in counts if most), default=1)

    def _most_on(self, printer: Printer, count: int) -> int:
        settings, footprint = self.work.settings, self.standing[:2]
        most = min(
            count, copies_that_fit(printer.platform_mm, footprint, settings.gap_mm, settings.fill_limit)
        )
        estimates = tuple(self.options[printer.id].values())
        part_mg = min(self.part_mg(estimate) for estimate in estimates)
        fullest = self._fullest_spool()
        if 0 < part_mg <= fullest:
            most = min(most, fullest // part_mg)
        if not may_run_alone(self.work, printer.id, self.material_id):
            most = min(most, max(self._most_in_a_shift(estimates), 1))
        return most

    def _fullest_spool(self) -> int:
        """Milligrams of the fullest spool of its kind, room left for start and purge."""
        work = self.work
        spare = work.settings.tail_mg + 2 * work.settings.purge_mg
        return max(
            (
                usable_mg(work.left[spool.id].left_mg, spare)
                for spool in work.spools
                if may_be_used(spool) and text_of(work, spool) == self.text
            ),
            default=0,
        )

    def _most_in_a_shift(self, estimates: Iterable[Estimate]) -> int:
        settings = self.work.settings
        hands_on = settings.clear_minutes + settings.nozzle_minutes + settings.material_minutes
        room = longest_shift(self.work) - settings.safety_minutes - hands_on
        return max(
            int((room - learned.once(estimate.start_minutes)) // each)
            for estimate in estimates
            for learned in (self._taught(estimate).minutes,)
            for each in ((estimate.part_minutes + TRAVEL_MINUTES) * learned.factor,)
        )

    def task(self, copies: tuple[Copy, ...], clock: PlanClock, waits: bool) -> PlanTask:
        """The planner's task of these copies."""
        by_printer = {
            str(printer): {bore: self.minutes(estimate, len(copies)) for bore, estimate in bores.items()}
            for printer, bores in self.options.items()
        }
        mg: dict[int, int] = {}
        for bores in self.options.values():
            for bore, estimate in bores.items():
                mg[bore] = max(mg.get(bore, 0), self.part_mg(estimate) * len(copies))
        needed = needed_of(self.request)
        finishing = self.work.finishing_minutes(self.request)
        return PlanTask(
            key=task_key(copies),
            minutes=next(iter(by_printer.values())),
            material=self.text,
            footprints=(self.standing[:2],) * len(copies),
            due=NEVER_DUE if needed is None else clock.at_or_before(needed) - finishing,
            weight=self.request.weight,
            mg=mg,
            printers=frozenset(by_printer),
            printer_minutes=by_printer,
            abrasive=self.work.materials[self.material_id].abrasive,
            waits=waits,
            name=self.request.tag,
        )


def tasks_of(maker: TaskMaker, clock: PlanClock, keep: Plan | None) -> Iterator[TaskCopies]:
    """The tasks of one request: as a plan groups its copies, the rest as many as stay together."""
    left = {copy.id: copy for copy in maker.work.copies.get(maker.request.id, ())}
    most = maker.most_together(len(left))
    groups: list[tuple[tuple[Copy, ...], bool]] = []
    for slot in () if keep is None else (slot for lane in keep.lanes for slot in lane.slots):
        if slot.request_id == maker.request.id:
            mates = tuple(left.pop(key) for key in slot.copy_ids if key in left)
            groups += [(chunk, slot.waiting) for chunk in _chunks(mates, most)]
    groups += [(chunk, False) for chunk in _chunks(tuple(left.values()), most)]
    for copies, waits in groups:
        task = maker.task(copies, clock, waits)
        yield TaskCopies(maker.request, copies, maker.material_id, maker.colour, task)


def _chunks(copies: tuple[Copy, ...], most: int) -> list[tuple[Copy, ...]]:
    return [copies[start : start + most] for start in range(0, len(copies), most)]


def colour_for(work: OpenWork, material_id: int) -> str:
    """The colour for somebody who named none: one that is on a printer, else the one with most left."""
    spools = [spool for spool in work.spools if spool.material_id == material_id and may_be_used(spool)]
    mounted = {printer.mounted_spool_id for printer in work.printers}
    best = max(
        spools, key=lambda spool: (spool.id in mounted, work.left[spool.id].left_mg, -spool.id), default=None
    )
    return "" if best is None else best.colour


def released_bores(work: OpenWork, request: Request, model: Model | None) -> tuple[tuple[int, ...], str]:
    """Bores a request may use, and why none by its releases ("" when that is not the reason).

    The desk's choice, else what the fineness allows; where a release is needed and one exists, only the
    nozzles and materials it names.
    """
    material = work.materials.get(request.material_id or 0)
    allowed = bores_allowed(request.how_fine, work.nozzles.values(), material)
    bores = (request.bore_um,) if request.bore_um else allowed
    pattern = work.pattern_of(request)
    due = gate(request.purpose, request.safety_answers, pattern.safety_answers if pattern else None)
    if model is None or not due.needs_release:
        return bores, ""
    releases = [
        each
        for each in work.releases.get(model.size_id, ())
        if each.model_id == model.id and is_live(each, work.now)
    ]
    if not releases:
        return bores, ""
    naming = [each for each in releases if request.material_id in each.material_ids]
    if not naming:
        return (), "its release does not name this material"
    released = {bore for each in naming for bore in each.bores_um}
    left = tuple(bore for bore in bores if bore in released)
    return left, "" if left else "its release names no nozzle it may use"
