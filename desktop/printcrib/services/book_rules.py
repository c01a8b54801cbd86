"""The books of the shop: which kinds of record there are, what they point at, what may be there only once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from printcrib.core.advice import Advice
from printcrib.core.aids import Aid, AidState, Machine, MachineReading, UseEntry
from printcrib.core.errors import NotFound, ShopError, StaleEdit
from printcrib.core.materials import Insert, InsertEntry, Material, Spool, SpoolEntry, StockMinimum
from printcrib.core.patterns import Estimate, Model, Pattern, Size
from printcrib.core.people import Person
from printcrib.core.printers import FreshStart, Nozzle, Printer, PrintProfile, Unattended
from printcrib.core.records import Record
from printcrib.core.releases import SizeRelease
from printcrib.core.requests import (
    COPY_DONE,
    COPY_ENDS,
    Copy,
    CopyState,
    Hold,
    Promise,
    Request,
    RequestState,
)
from printcrib.core.runs import Failure, Plan, PlanState, Run, RunState
from printcrib.core.shop import Attachment, ClosedDay, Duty, Shift, ShopSettings


@dataclass(frozen=True)
class Kind:
    """One kind of record: its dataclass and what people call one of it."""

    record: type[Record]
    noun: str


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "people": Kind(Person, "person"),
        "printers": Kind(Printer, "printer"),
        "nozzles": Kind(Nozzle, "nozzle"),
        "print_profiles": Kind(PrintProfile, "print setting"),
        "unattended": Kind(Unattended, "answer on unattended running"),
        "fresh_starts": Kind(FreshStart, "fresh start of what is learned"),
        "materials": Kind(Material, "material"),
        "spools": Kind(Spool, "spool"),
        "spool_entries": Kind(SpoolEntry, "spool booking"),
        "stock_minimums": Kind(StockMinimum, "stock minimum"),
        "inserts": Kind(Insert, "insert"),
        "insert_entries": Kind(InsertEntry, "insert booking"),
        "patterns": Kind(Pattern, "pattern"),
        "sizes": Kind(Size, "size"),
        "models": Kind(Model, "model"),
        "estimates": Kind(Estimate, "estimate"),
        "advice": Kind(Advice, "advice on a model"),
        "requests": Kind(Request, "request"),
        "copies": Kind(Copy, "copy"),
        "holds": Kind(Hold, "hold"),
        "promises": Kind(Promise, "promise"),
        "releases": Kind(SizeRelease, "release"),
        "runs": Kind(Run, "run"),
        "plans": Kind(Plan, "plan"),
        "failures": Kind(Failure, "failure"),
        "aids": Kind(Aid, "aid"),
        "use_entries": Kind(UseEntry, "use entry"),
        "machines": Kind(Machine, "machine"),
        "machine_readings": Kind(MachineReading, "machine reading"),
        "shifts": Kind(Shift, "shift"),
        "closed_days": Kind(ClosedDay, "closed day"),
        "settings": Kind(ShopSettings, "shop settings"),
        "duties": Kind(Duty, "duty"),
        "attachments": Kind(Attachment, "file"),
    }
)
"""Every table of a unit of work, by its name there; the same name is `Change.thing`."""

NOT_IN_THE_TRAIL = frozenset({"duties"})
"""A lease is renewed every minute and is nobody's doing: it leaves no change behind."""

COUNTERS = ("request", "run", "aid", "spool", "pattern", "nozzle")
"""The numbers people see."""

_PEOPLE = [
    "asker_id",
    "entered_by_id",
    "accepted_by_id",
    "opened_by_id",
    "closed_by_id",
    "to_person_id",
    "who_id",
    "started_by_id",
    "taken_off_by_id",
    "kept_by_id",
    "answered_by_id",
    "reviewer_id",
]
_OTHERS = {
    "size_id": "sizes",
    "model_id": "models",
    "material_id": "materials",
    "printer_id": "printers",
    "spool_id": "spools",
    "run_id": "runs",
    "aid_id": "aids",
    "copy_id": "copies",
    "request_id": "requests",
    "machine_id": "machines",
    "nozzle_id": "nozzles",
    "fitted_nozzle_id": "nozzles",
    "mounted_spool_id": "spools",
    "pattern_id": "patterns",
    "insert_id": "inserts",
    "plan_id": "plans",
    "replaces_id": "copies",
    "follows_id": "requests",
    "replaces_aid_id": "aids",
}


def points_at(table: str, field_name: str) -> str | None:
    """The table whose key a field holds; None for a field that is no key."""
    if field_name == "opposes_id":
        return table
    return "people" if field_name in _PEOPLE else _OTHERS.get(field_name)


@dataclass(frozen=True)
class OnceOnly:
    """Values that may stand in a table only once.

    Attributes:
        name: of the index in a database. fields: that must differ together.
        among: state field and its values for which this holds; None for all.
        filled: fields that are not checked while empty (None or "").
        void_too: whether undone records count as well (numbers are never reused).
        what, do: what a person is told.
    """

    name: str
    table: str
    fields: tuple[str, ...]
    what: str
    do: str
    among: tuple[str, tuple[str, ...]] | None = None
    filled: tuple[str, ...] = ()
    void_too: bool = False

    def applies_to(self, record: Any) -> bool:
        """Whether this record takes part."""
        if record.void and not self.void_too:
            return False
        if any(getattr(record, name) in (None, "") for name in self.filled):
            return False
        return self.among is None or getattr(record, self.among[0]) in self.among[1]

    def refusal(self) -> ShopError:
        """What the person is told who tried it a second time."""
        return ShopError(self.what, self.do)


def _number(table: str, noun: str) -> OnceOnly:
    return OnceOnly(
        f"uq_{table}_number",
        table,
        ("number",),
        f"That {noun} number is already given",
        "Press again for the next one.",
        void_too=True,
    )


def _but(states: type[CopyState] | type[AidState] | type[RequestState], *left_out: str) -> tuple[str, ...]:
    return tuple(state.value for state in states if state not in left_out)


ONCE_ONLY: tuple[OnceOnly, ...] = (
    _number("requests", "request"),
    _number("runs", "run"),
    _number("aids", "tag"),
    _number("spools", "spool"),
    _number("patterns", "pattern"),
    _number("nozzles", "nozzle"),
    OnceOnly(
        "uq_runs_printer_busy",
        "runs",
        ("printer_id",),
        "That printer has a run that was not taken off",
        "Take it off first, with its copies to check if nobody knows.",
        among=("state", (RunState.STARTED.value, RunState.STOPPED.value)),
    ),
    OnceOnly(
        "uq_printers_fitted_nozzle",
        "printers",
        ("fitted_nozzle_id",),
        "That nozzle is fitted on another printer",
        "Take it off there first.",
        filled=("fitted_nozzle_id",),
    ),
    OnceOnly(
        "uq_printers_mounted_spool",
        "printers",
        ("mounted_spool_id",),
        "That spool is on another printer",
        "Take it off there first.",
        filled=("mounted_spool_id",),
    ),
    OnceOnly(
        "uq_requests_open_reprint",
        "requests",
        ("replaces_aid_id",),
        "A reprint of that aid is already asked for",
        "Open that request instead.",
        among=("state", _but(RequestState, RequestState.DONE, RequestState.WITHDRAWN)),
        filled=("replaces_aid_id",),
    ),
    OnceOnly(
        "uq_copies_label",
        "copies",
        ("size_id", "label"),
        "A copy of this size with that label is already under way",
        "Give another label.",
        among=("state", _but(CopyState, *COPY_ENDS, *COPY_DONE)),
        filled=("size_id", "label"),
    ),
    OnceOnly(
        "uq_aids_label",
        "aids",
        ("size_id", "label"),
        "An aid of this size with that label is in service",
        "Retire that one first or give another label.",
        among=("state", _but(AidState, AidState.RETIRED)),
        filled=("label",),
    ),
    OnceOnly(
        "uq_copies_ordinal",
        "copies",
        ("request_id", "ordinal"),
        "The request has a copy of that number already",
        "Look at its copies, then press again.",
    ),
    OnceOnly(
        "uq_aids_copy",
        "aids",
        ("copy_id",),
        "That copy is an aid already",
        "Look for its tag.",
    ),
    OnceOnly(
        "uq_models_revision",
        "models",
        ("size_id", "revision"),
        "The size has a model of that revision already",
        "Look at its models, then press again.",
    ),
    OnceOnly(
        "uq_plans_kept",
        "plans",
        ("state",),
        "Another plan is kept already",
        "Look at the run sheet, then press again.",
        among=("state", (PlanState.KEPT.value,)),
    ),
    OnceOnly(
        "uq_people_badge",
        "people",
        ("badge",),
        "Somebody else has that badge",
        "Scan another badge.",
        filled=("badge",),
    ),
    OnceOnly(
        "uq_unattended_answer",
        "unattended",
        ("printer_id", "material_id"),
        "There is an answer for that printer and material already",
        "Change that answer instead.",
    ),
    OnceOnly(
        "uq_stock_minimums_of",
        "stock_minimums",
        ("material_id", "colour"),
        "There is a minimum for that material and colour already",
        "Change that one instead.",
    ),
    OnceOnly(
        "uq_closed_days_day",
        "closed_days",
        ("day",),
        "That day is closed already",
        "Nothing more to do.",
    ),
    OnceOnly(
        "uq_duties_name",
        "duties",
        ("name",),
        "That duty is taken already",
        "Nothing more to do.",
    ),
    OnceOnly(
        "uq_attachments_sha256",
        "attachments",
        ("sha256",),
        "That file is kept already",
        "Nothing more to do.",
    ),
)
"""What the database holds, not habit; an in-memory double holds the same."""


def called(table: str, record: Any) -> str:
    """What people call a record: "request R 214", "run 32", "person Ann"."""
    noun = KINDS[table].noun
    for name in ("tag", "name", "number", "ordinal", "revision", "day"):
        if getattr(record, name, ""):
            return f"{noun} {getattr(record, name)}"
    return f"this {noun}"


def no_such(table: str, key: int) -> NotFound:
    """What a person is told whose key is in no book."""
    return NotFound(f"There is no {KINDS[table].noun} {key}", "Check the number.")


def stale(table: str, record: Any, who: str, when: datetime, zone: str) -> StaleEdit:
    """What a person is told when somebody else was first, with the hour on the shop's clock."""
    return StaleEdit(called(table, record), who, f"{when.astimezone(ZoneInfo(zone)):%H:%M on %Y-%m-%d}")
