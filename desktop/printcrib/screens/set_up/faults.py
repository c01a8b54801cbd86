"""What is still missing or odd in each step of the set-up, by the field it is shown beside."""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from printcrib.core.people import Role
from printcrib.screens.set_up.edits import LEAST_PEOPLE, may_release
from printcrib.screens.set_up.form import Form, PrinterRow, SpoolRow

STEPS: tuple[str, ...] = ("the shop", "people", "printers", "spools", "hours", "nobody in")
"""What each step asks about, in order."""

SHOP, PEOPLE, PRINTERS, SPOOLS, HOURS, ALONE = range(len(STEPS))

QUESTION = "May prints run when nobody is in? Site fire rules decide."

Faults = Mapping[str, str]
"""Field ("name", "person 1") -> the sentence shown beside it."""

MOST_MM = 5_000
MOST_GRAMS = 50_000


def faults_of(step: int, form: Form, place_fault: Callable[[str], str]) -> Faults:
    """Sentences for what keeps a step from being left; empty when all is answered.

    Args:
        place_fault: why a shop cannot begin at a place, "" when it can.
    """
    if step == SHOP:
        return _shop(form, place_fault)
    return _OTHERS[step](form)


def _shop(form: Form, place_fault: Callable[[str], str]) -> Faults:
    place = form.place.strip()
    return _told(
        ("name", "" if form.name.strip() else "Type the name of your shop."),
        ("zone", "" if form.zone else "Choose the time zone on your wall."),
        ("place", place_fault(place) if place else "Say where the shop is kept."),
    )


def _people(form: Form) -> Faults:
    told = [(f"person {number}", words) for number, words in enumerate(_named(p.name for p in form.people))]
    for number, row in enumerate(form.people):
        if not row.roles and not told[number][1]:
            told[number] = (f"person {number}", "Choose at least one role.")
    return _told(*told, ("people", _who_is_missing(form)))


def _who_is_missing(form: Form) -> str:
    leads = [row for row in form.people if Role.LEAD.value in row.roles]
    if len(form.people) < LEAST_PEOPLE:
        return "Name a second person: nobody releases their own request."
    if not leads:
        return "Give one person the role of lead."
    if not any(may_release(row) for row in form.people if row is not leads[0]):
        return "Give somebody besides the lead the role of reviewer: nobody releases their own request."
    return ""


def _printers(form: Form) -> Faults:
    named = _named(row.name for row in form.printers)
    told = [(f"printer {number}", words) for number, words in enumerate(named)]
    told += [(f"size {number}", _size(row)) for number, row in enumerate(form.printers)]
    told += [
        (f"nozzles {number}", "" if row.bores_um else "Tick the nozzles you have for it.")
        for number, row in enumerate(form.printers)
    ]
    return _told(*told, ("printers", "" if form.printers else "Enter at least one printer."))


def _size(row: PrinterRow) -> str:
    fine = all(0 < each <= MOST_MM for each in (row.width_mm, row.depth_mm, row.height_mm))
    return "" if fine else f"A platform has sides of 1 to {MOST_MM} mm."


def _spools(form: Form) -> Faults:
    return _told(*((f"grams {number}", _grams(row)) for number, row in enumerate(form.spools)))


def _grams(row: SpoolRow) -> str:
    if not 0 < row.full_g <= MOST_GRAMS:
        return f"A full spool holds 1 to {MOST_GRAMS} g."
    return "" if 0 < row.left_g <= row.full_g else "What is left is 1 g to a full spool."


def _hours(form: Form) -> Faults:
    told = []
    for number, row in enumerate(form.shifts):
        words = "" if row.days else "Tick the days of this shift."
        words = words or ("It closes when it opens; give another time." if row.opens == row.closes else "")
        told.append((f"shift {number}", words))
    return _told(*told, ("hours", "" if form.shifts else "Say when somebody is in."))


def _alone(form: Form) -> Faults:
    if not form.alone:
        return {"alone": "Answer no or yes; no is always allowed."}
    if form.alone == "yes" and not form.alone_on:
        return {"alone": "Tick what may run, or answer no."}
    return {}


_OTHERS: Mapping[int, Callable[[Form], Faults]] = MappingProxyType(
    {PEOPLE: _people, PRINTERS: _printers, SPOOLS: _spools, HOURS: _hours, ALONE: _alone}
)


def _named(names: Iterable[str]) -> list[str]:
    """For each name what is wrong with it: missing, or given twice."""
    seen: set[str] = set()
    told = []
    for name in names:
        known = name.strip().casefold()
        if not known:
            told.append("Type a name.")
        else:
            told.append("This name is taken; add a letter or the family name." if known in seen else "")
        seen.add(known)
    return told


def _told(*pairs: tuple[str, str]) -> Faults:
    return {field: sentence for field, sentence in pairs if sentence}
