"""The week as plain JSON values, for the command line and for the report's paper."""

from datetime import datetime
from typing import Any

from printcrib.core.calendar import MONTHS, WEEKDAYS, clock_words, day_words, shop_day
from printcrib.core.week import (
    CauseFigures,
    DueRow,
    GramsOf,
    LowRow,
    NamedHours,
    RequestRow,
    RunRow,
    Week,
)


def week_json(made: Week) -> dict[str, Any]:
    """The week in plain values: hours, grams and percent as numbers, moments as ISO 8601 in UTC.

    Keys ending in `_words` are what paper and screen show, in the shop's time.
    """
    return {
        "week": made.week,
        "shop": made.shop,
        "first_day": made.first.isoformat(),
        "last_day": made.last.isoformat(),
        "days_words": days_words(made),
        "made_at": made.made_at.isoformat(),
        "made_words": clock_words(made.made_at, made.zone),
        "made_day_words": day_words(shop_day(made.made_at, made.zone), made.first.year),
        "over": made.over,
        "requests": _requests(made),
        "hours": _hours(made),
        "filament": _filament(made),
        "swaps": {
            "made": made.swaps.made,
            "avoided": made.swaps.avoided,
            "minutes_avoided": made.swaps.minutes_avoided,
        },
        "failures": [_cause(each) for each in made.causes],
        "aids_due": [_due(made, each) for each in made.aids_due],
        "spools_low": [_low(made, each) for each in made.spools_low],
        "request_list": [_request(made, each) for each in made.request_rows],
        "run_list": [_run(each) for each in made.run_rows],
        "remarks": [{"title": each.title, "words": each.words} for each in made.remarks],
    }


def days_words(made: Week) -> str:
    """The days of the week as people say them: "Mon 16 to Sun 22 November 2026"."""
    first, last = made.first, made.last
    month = _MONTHS_IN_FULL[last.month - 1]
    begins = f"{WEEKDAYS[first.weekday()]} {first.day}"
    if first.month != last.month:
        begins += f" {MONTHS[first.month - 1]}"
    if first.year != last.year:
        begins += f" {first.year}"
    return f"{begins} to {WEEKDAYS[last.weekday()]} {last.day} {month} {last.year}"


_MONTHS_IN_FULL = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def _requests(made: Week) -> dict[str, Any]:
    figures = made.requests
    return {
        "came_in": figures.came_in,
        "by_the_tool": figures.by_the_tool,
        "done": figures.done,
        "ready_on_time": figures.on_time,
        "ready_late": figures.late,
        "open_late": figures.still_open_late,
        "on_time_percent": figures.on_time_percent,
        "promises_kept": figures.promises_kept,
        "promises_judged": figures.promises_judged,
        "reviews_open": figures.reviews_open,
    }


def _hours(made: Week) -> dict[str, Any]:
    figures = made.hours
    return {
        "printed": _tenth(figures.printed),
        "planned": _tenth(figures.planned),
        "by_hand": _tenth(figures.by_hand),
        "by_day": [_tenth(each) for each in figures.by_day],
        "by_printer": [_named(each) for each in figures.by_printer],
        "by_nozzle": [_named(each) for each in figures.by_nozzle],
        "runs": figures.runs,
        "failed_runs": figures.failed_runs,
        "failed_percent": figures.failed_percent,
        "not_taken_off": figures.not_taken_off,
    }


def _named(each: NamedHours) -> dict[str, Any]:
    return {"name": each.name, "hours": _tenth(each.hours), "by_day": [_tenth(day) for day in each.by_day]}


def _filament(made: Week) -> dict[str, Any]:
    return {
        "used_grams": _grams(made.used_mg),
        "purge_grams": _grams(made.purge_mg),
        "scrap_grams": _grams(made.scrap_mg),
        "materials": [_grams_of(each) for each in made.grams],
    }


def _grams_of(each: GramsOf) -> dict[str, Any]:
    made: dict[str, Any] = {
        "name": each.name,
        "used_grams": _grams(each.used),
        "purge_grams": _grams(each.purge),
        "scrap_grams": _grams(each.scrap),
        "thrown_away_grams": _grams(each.thrown_away),
    }
    if each.spools:
        made["spools"] = [_grams_of(spool) for spool in each.spools]
    return made


def _cause(each: CauseFigures) -> dict[str, Any]:
    return {
        "cause": each.cause,
        "group": each.group,
        "copies": each.copies,
        "runs": each.runs,
        "grams": _grams(each.mg),
        "hours": _tenth(each.hours),
    }


def _due(made: Week, each: DueRow) -> dict[str, Any]:
    today, day = shop_day(made.made_at, made.zone), None
    if each.needed_by is not None:
        day = shop_day(each.needed_by, made.zone)
    return {
        "tag": each.tag,
        "name": each.name,
        "where": each.where,
        "count": each.count,
        "expected": each.expected,
        "unit": each.unit,
        "needed_by": None if each.needed_by is None else each.needed_by.isoformat(),
        "needed_by_words": "" if day is None else "today" if day <= today else day_words(day, today.year),
        "words": each.words,
    }


def _low(made: Week, each: LowRow) -> dict[str, Any]:
    year = shop_day(made.made_at, made.zone).year
    return {
        "name": each.name,
        "spools": list(each.tags),
        "left_grams": _grams(each.left_mg),
        "doubt_grams": _grams(each.doubt_mg),
        "minimum_grams": _grams(each.minimum_mg),
        "lasts_until": None if each.lasts_until is None else each.lasts_until.isoformat(),
        "lasts_words": "no use yet" if each.lasts_until is None else day_words(each.lasts_until, year),
    }


def _request(made: Week, each: RequestRow) -> dict[str, Any]:
    return {
        "tag": each.tag,
        "what": each.what,
        "asker": each.asker,
        "copies": each.copies,
        "needed_by": None if each.needed_by is None else each.needed_by.isoformat(),
        "needed_by_words": _when(made, each.needed_by),
        "ready_at": None if each.ready_at is None else each.ready_at.isoformat(),
        "ready_words": _when(made, each.ready_at),
        "state": each.state,
        "late": each.late,
    }


def _when(made: Week, moment: datetime | None) -> str:
    """Day and hour on the shop's wall; a day of another year with its year."""
    if moment is None:
        return ""
    day = day_words(shop_day(moment, made.zone), made.first.year)
    return f"{day}, {clock_words(moment, made.zone)}"


def _run(each: RunRow) -> dict[str, Any]:
    return {
        "number": each.number,
        "printer": each.printer,
        "nozzle_mm": each.nozzle,
        "material": each.material,
        "what": each.what,
        "good": each.good,
        "failed": each.failed,
        "planned_minutes": None if each.planned_minutes is None else round(each.planned_minutes),
        "minutes": round(each.minutes),
        "minutes_source": each.minutes_source,
        "grams": _grams(each.mg),
        "grams_source": each.grams_source,
    }


def _grams(mg: int) -> float:
    return round(mg / 1000.0, 1)


def _tenth(hours: float) -> float:
    return round(hours, 1)
