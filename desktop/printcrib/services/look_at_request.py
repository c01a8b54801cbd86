"""Look at one request: all that was asked, printed, promised and decided, ready to show."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from printcrib.core.advice import NozzleFit, Rest, Thread
from printcrib.core.asking import missing_to_accept, needed_of
from printcrib.core.calendar import moment_words
from printcrib.core.estimating.run import cost_of
from printcrib.core.materials import Material
from printcrib.core.mending import Mend, mends_for
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.people import Person, Role
from printcrib.core.requests import Copy, Hold, Promise, Request, RequestState
from printcrib.core.safety import Caution, Gate, accept_refusal, cautions_for, gate, question_words, united
from printcrib.core.shapes import size_words
from printcrib.core.units import between_words, bore_text, grams_between, money_text
from printcrib.services.advise_model import advice_of, fits_of, turn_words
from printcrib.services.check_role import THE_TOOL_ITSELF
from printcrib.services.estimate_task import bores_allowed, kept_estimates, material_for, settings_for
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.learn_times import read_taught, with_taught
from printcrib.services.look_at_requests import RequestRow, by_key, rows_of
from printcrib.services.read_calendar import settings_of
from printcrib.services.release_use import covering_release, live_release, release_words
from printcrib.services.tell_history import HistoryLine, history_of
from printcrib.services.withdraw_request import left_over


@dataclass(frozen=True, kw_only=True)
class EstimateColumn:
    """Minutes, grams and cost on one printer and nozzle, as shown side by side.

    Attributes:
        minutes: "48 to 57 min". cost: "" without prices. why_not: why this nozzle is not used, "" if it is.
    """

    printer: str
    nozzle: str
    minutes: str
    grams: str
    cost: str
    allowed: bool
    why_not: str


@dataclass(frozen=True, kw_only=True)
class AdviceLine:
    """What the tool advises on the model.

    Attributes:
        fits: what each bore loses. threads: found in it.
        rests: ways to lie, best first. lies: how it best lies, in a sentence.
        allowed: bores that may be used for the request.
    """

    fits: Mapping[int, NozzleFit]
    threads: tuple[Thread, ...]
    rests: tuple[Rest, ...]
    lies: str
    allowed: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class CopyLine:
    """One copy of the request."""

    copy: Copy
    tag: str
    state: str
    label: str
    run: str
    aid: str
    revision: str
    old_revision: bool
    words: str


@dataclass(frozen=True, kw_only=True)
class HoldLine:
    """What holds the request, who said so and since when."""

    hold: Hold
    words: str
    who: str
    when: str


@dataclass(frozen=True, kw_only=True)
class PromiseLine:
    """What was said to whom, and whether it was kept."""

    promise: Promise
    words: str
    outcome: str


@dataclass(frozen=True, kw_only=True)
class ModelLine:
    """The model printed now.

    Attributes:
        findings: in words. mends: what the person looking may have done to it at one press.
        made_by: how the tool made the file ("scaled x 25.4 from revision A"), "" for one as given.
    """

    model: Model
    revision: str
    size: str
    findings: tuple[str, ...]
    mends: tuple[Mend, ...] = ()
    made_by: str = ""


@dataclass(frozen=True, kw_only=True)
class RequestPage:
    """All of one request, ready to show.

    Attributes:
        row: as in the list. gate: of its safety answers. safety: the answers in words.
        asks_same_use: its size is released, so only "same use as released?" is asked.
        release: the release that covers it in words, "" for none; release_id: its key, to take it back.
        to_decide: printed copies the desk still decides on.
        missing: why it cannot be accepted yet, "" when it can. actions: what the person may press.
    """

    row: RequestRow
    request: Request
    size: Size | None
    pattern: Pattern | None
    model: ModelLine | None
    material: Material | None
    estimates: tuple[EstimateColumn, ...]
    advice: AdviceLine | None
    copies: tuple[CopyLine, ...]
    holds: tuple[HoldLine, ...]
    promises: tuple[PromiseLine, ...]
    gate: Gate
    safety: str
    asks_same_use: bool
    release: str
    release_id: int | None
    cautions: tuple[Caution, ...]
    to_decide: tuple[Copy, ...]
    missing: str
    actions: frozenset[str]
    history: tuple[HistoryLine, ...]


def look_at_request(shop: Shop, request_id: int, who_id: int = 0) -> RequestPage:
    """One request as a person sees it.

    Args:
        who_id: the person looking; decides which actions there are.
    """
    with shop.read() as uow:
        return _Page(uow, uow.requests.get(request_id), who_id).page()


class _Page:
    """Reads what belongs to one request, each thing once."""

    def __init__(self, uow: UnitOfWork, request: Request, who_id: int) -> None:
        self.uow, self.request = uow, request
        self.who = uow.people.get(who_id) if who_id else THE_TOOL_ITSELF
        self.zone = settings_of(uow).zone
        self.people: Mapping[int, Person] = by_key(uow.people.find())
        self.copies = uow.copies.find(is_("request_id", request.id), order_by="ordinal")
        self.size = None if request.size_id is None else uow.sizes.get(request.size_id)
        self.pattern = None if self.size is None else uow.patterns.get(self.size.pattern_id)
        no_model = self.size is None or self.size.model_id is None
        self.model = None if no_model else uow.models.get(self.size.model_id or 0)  # type: ignore[union-attr]
        self.gate = gate(request.purpose, request.safety_answers, self._pattern_answers())

    def _pattern_answers(self) -> tuple[int, ...] | None:
        return self.pattern.safety_answers if self.pattern else None

    def page(self) -> RequestPage:
        """The page."""
        uow, request = self.uow, self.request
        material = None if request.material_id is None else uow.materials.get(request.material_id)
        held = covering_release(uow, request)
        live = live_release(uow, self.size.id) if self.size and self.model else None
        missing = self._missing()
        return RequestPage(
            row=rows_of(uow, (request,))[0],
            request=request,
            size=self.size,
            pattern=self.pattern,
            model=self._model_line(),
            material=material,
            estimates=self._estimates(),
            advice=self._advice(),
            copies=self._copy_lines(),
            holds=self._hold_lines(),
            promises=self._promise_lines(),
            gate=self.gate,
            safety=self._safety_words(),
            asks_same_use=live is not None and request.safety_answers is None,
            release=release_words(held, self._name, self._when) if held and self.gate.needs_release else "",
            release_id=held.id if held and self.gate.needs_release else None,
            cautions=self._cautions(material),
            to_decide=self._to_decide(),
            missing=missing,
            actions=self._actions(missing),
            history=history_of(uow, request, self._name, self._when),
        )

    def _name(self, person_id: int) -> str:
        person = self.people.get(person_id)
        return person.name if person else "the tool"

    def _when(self, moment: datetime) -> str:
        return moment_words(self.uow.now, moment, self.zone)

    def _model_line(self) -> ModelLine | None:
        if self.model is None:
            return None
        words = tuple(words for _, words in self.model.findings)
        return ModelLine(
            model=self.model,
            revision=self.model.revision,
            size=size_words(self.model.extents_mm),
            findings=words,
            mends=self._mends(),
            made_by=self.model.mended,
        )

    def _mends(self) -> tuple[Mend, ...]:
        """None for a model of the pattern book, which is mended there."""
        if self.model is None or self.pattern is None or self.pattern.listed or not self._may_change():
            return ()
        return mends_for(self.model.findings)

    def _may_change(self) -> bool:
        open_ = self.request.state not in (RequestState.DONE, RequestState.WITHDRAWN)
        return open_ and (self.who.may(Role.DESK) or self.who.id == self.request.asker_id)

    def _estimates(self) -> tuple[EstimateColumn, ...]:
        if self.model is None or not self.uow.materials.count():
            return ()
        uow, request = self.uow, self.request
        material = material_for(uow, request.size_id, request.material_id)
        printers = by_key(uow.printers.find())
        allowed = bores_allowed(request.how_fine, uow.nozzles.find(is_("retired", False)), material)
        currency = settings_of(uow).currency
        taught = read_taught(uow, printers)
        wide = 1 + self.model.doubt
        columns = []
        for kept in kept_estimates(uow, self.model.id, material.id):
            each = with_taught(kept, taught.of(kept.printer_id, kept.bore_um))
            fits = each.bore_um in allowed
            printer = printers[each.printer_id]
            cost = cost_of(
                each.mg / 1000,
                each.likely_minutes,
                material.price_per_kg_thousandths,
                printer.rate_thousandths,
            )
            columns.append(
                EstimateColumn(
                    printer=printer.name,
                    nozzle=bore_text(each.bore_um),
                    minutes=between_words(each.likely_minutes / wide, each.at_most_minutes * wide),
                    grams=grams_between(round(each.mg / wide), round(each.mg * wide)),
                    cost="" if cost is None else f"{money_text(cost)} {currency}".strip(),
                    allowed=fits,
                    why_not="" if fits else f"not for {request.how_fine.value}",
                )
            )
        return tuple(columns)

    def _advice(self) -> AdviceLine | None:
        advice = advice_of(self.uow, self.model.id) if self.model else None
        if advice is None or self.model is None:
            return None
        uow, request = self.uow, self.request
        material = material_for(uow, request.size_id, request.material_id)
        printers = by_key(uow.printers.find())
        fits = fits_of(
            advice,
            kept_estimates(uow, self.model.id, material.id),
            lambda each: settings_for(uow, printers[each.printer_id], each.bore_um, material),
        )
        nozzles = uow.nozzles.find(is_("retired", False))
        return AdviceLine(
            fits=fits,
            threads=advice.threads,
            rests=advice.rests,
            lies=turn_words(advice, self.model.turn),
            allowed=bores_allowed(request.how_fine, nozzles, material),
        )

    def _copy_lines(self) -> tuple[CopyLine, ...]:
        runs = by_key(self.uow.runs.find(among("id", {copy.run_id for copy in self.copies} - {None})))
        aids = by_key(self.uow.aids.find(among("id", {copy.aid_id for copy in self.copies} - {None})))
        keys = {copy.model_id for copy in self.copies} - {None}
        models = by_key(self.uow.models.find(among("id", keys)))
        now = self.model.id if self.model else None
        lines = []
        for copy in self.copies:
            run, aid = runs.get(copy.run_id or 0), aids.get(copy.aid_id or 0)
            model = models.get(copy.model_id or 0) or self.model
            lines.append(
                CopyLine(
                    copy=copy,
                    tag=f"{self.request.tag}/{copy.ordinal}",
                    state=copy.state.value,
                    label=copy.label,
                    run=f"run {run.number}" if run else "",
                    aid=aid.tag if aid else "",
                    revision=model.revision if model else "",
                    old_revision=copy.model_id not in (None, now),
                    words=copy.cause or copy.fit_result,
                )
            )
        return tuple(lines)

    def _hold_lines(self) -> tuple[HoldLine, ...]:
        held = self.uow.holds.find(is_("request_id", self.request.id))
        return tuple(
            HoldLine(
                hold=hold,
                words=f"{hold.kind.value}: {hold.words}" if hold.words else hold.kind.value,
                who=self._name(hold.opened_by_id),
                when=self._when(hold.happened_at),
            )
            for hold in held
            if hold.closed_at is None
        )

    def _promise_lines(self) -> tuple[PromiseLine, ...]:
        return tuple(
            PromiseLine(
                promise=said,
                words=f"ready by {self._when(said.likely)}, at most {self._when(said.at_most)}",
                outcome=f"{said.outcome}: {said.why}" if said.why else said.outcome,
            )
            for said in self.uow.promises.find(is_("request_id", self.request.id))
        )

    def _safety_words(self) -> str:
        answers = self.request.safety_answers
        if answers is None:
            return "not answered"
        ticked = united(answers, self._pattern_answers())
        return question_words(ticked) if ticked else "none of these"

    def _cautions(self, material: Material | None) -> tuple[Caution, ...]:
        topics = []
        if self.pattern and self.pattern.take_out_before_start:
            topics.append("take out")
        if self.pattern and self.pattern.inserts:
            topics.append("magnets")
        ticked = united(self.request.safety_answers, self._pattern_answers())
        return cautions_for(ticked, material, topics)

    def _to_decide(self) -> tuple[Copy, ...]:
        """Left over after a withdrawal, or printed from a revision that is no longer the current one."""
        if self.request.state is RequestState.WITHDRAWN:
            return left_over(self.uow, self.request)
        now = self.model.id if self.model else None
        undecided = left_over(self.uow, self.request)
        return tuple(copy for copy in undecided if copy.model_id not in (None, now))

    def _missing(self) -> str:
        missing = missing_to_accept(self.request, self.model.id if self.model else None)
        if missing:
            return f"needs {' and '.join(missing)}"
        refusal = accept_refusal(self.gate)
        return "" if refusal is None else str(refusal)

    def _actions(self, missing: str) -> frozenset[str]:
        state, who = self.request.state, self.who
        desk, mine = who.may(Role.DESK), who.id == self.request.asker_id
        open_ = state not in (RequestState.DONE, RequestState.WITHDRAWN)
        release = (
            open_
            and not mine
            and who.may(Role.REVIEWER, Role.LEAD)
            and self.gate.needs_release
            and self.gate.answered
            and not self.gate.never
            and self.model is not None
        )
        found = {
            "accept": desk and state is RequestState.RAISED and not missing,
            "send back": desk and state is RequestState.RAISED,
            "raise": (desk or mine) and state in (RequestState.DRAFT, RequestState.SENT_BACK),
            "withdraw": (desk or mine) and open_,
            "change": self._may_change(),
            "answer safety": self._may_change(),
            "release": release,
            "decide copies": desk and bool(self._to_decide()),
            "same again": needed_of(self.request) is not None,
        }
        return frozenset(name for name, may in found.items() if may)
