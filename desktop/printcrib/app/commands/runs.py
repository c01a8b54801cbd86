"""`printcrib runs`: the kept plan's run sheet, or the answer to a planning problem in a file."""

import json
import time
from datetime import datetime
from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import answer, opened, table
from printcrib.core.calendar import moment_words
from printcrib.core.errors import ShopError
from printcrib.core.running import expected_end
from printcrib.core.runs import Run
from printcrib.core.units import bore_text, duration_words, grams_words
from printcrib.services.interfaces import Shop
from printcrib.services.plan_runs import compare_with_first_come
from printcrib.services.read_open_work import read_open_work
from printcrib.services.read_runs import kind_words
from printcrib.services.read_timeline import TimedPlan, TimedRun, late_lines, timeline_of, why_lines


def runs_of_shop(shop: str | None, as_json: bool) -> int:
    """What lies on the printers and what follows, as things are now."""
    with opened(shop) as wired:
        with wired.shop.read() as uow:
            work = read_open_work(uow, wired.shop.clock.now())
        sheet = timeline_of(work)
        data = _sheet_json(wired.shop, sheet)
        answer(data, as_json, lambda: _lines(sheet, data))
    return 0


def _sheet_json(shop: Shop, sheet: TimedPlan) -> dict[str, Any]:
    names = {printer.id: printer.name for printer in sheet.work.printers}
    late = late_lines(sheet)
    return {
        "now": sheet.now.isoformat(),
        "printing": [_printing_json(sheet, names, run) for run in sheet.work.runs],
        "runs": [
            _run_json(sheet, names, run, why) for run, why in zip(sheet.runs, why_lines(sheet), strict=True)
        ],
        "late": [
            {
                "request": timed.request.tag,
                "needed_by": None if timed.needed is None else timed.needed.isoformat(),
                "ready": None if timed.ready is None else timed.ready.isoformat(),
                "late_minutes": timed.late_minutes,
                "why": late.get(key, ""),
            }
            for key, timed in sheet.requests.items()
            if timed.late_minutes
        ],
        "not_planned": [
            {"request": sheet.work.requests[key].tag, "why": words} for key, words in sheet.unplanned.items()
        ],
        "saves": compare_with_first_come(shop).words if sheet.plan else "",
    }


def _printing_json(sheet: TimedPlan, names: dict[int, str], run: Run) -> dict[str, Any]:
    end = expected_end(run)
    return {
        "run": run.number,
        "printer": names[run.printer_id],
        "nozzle": bore_text(run.bore_um) if run.bore_um else None,
        "material": kind_words(sheet.work.materials.get(run.material_id or 0), run.colour),
        "what": run.name
        or _asked(sheet, {copy.request_id for copy in sheet.work.on_printers.get(run.id, ())}),
        "state": run.state.value,
        "started": None if run.started_at is None else run.started_at.isoformat(),
        "expected_end": None if end is None else end.isoformat(),
    }


def _run_json(sheet: TimedPlan, names: dict[int, str], run: TimedRun, why: str) -> dict[str, Any]:
    return {
        "run": run.number,
        "printer": names[run.printer_id],
        "nozzle": bore_text(run.bore_um),
        "material": kind_words(sheet.work.materials.get(run.material_id), run.colour),
        "what": _asked(sheet, run.request_ids),
        "copies": len(run.copy_ids),
        "hands_on_from": run.hands_on_from.isoformat(),
        "starts": run.starts.isoformat(),
        "ends": run.ends.isoformat(),
        "ready": run.ready.isoformat(),
        "minutes": run.minutes,
        "grams": round(run.mg / 1000, 1),
        "swaps_nozzle": run.swaps_nozzle,
        "loads_spool": run.loads_spool,
        "why": why,
    }


def _asked(sheet: TimedPlan, request_ids: Any) -> str:
    requests = [sheet.work.requests[key] for key in sorted(request_ids)]
    return ", ".join(f"{request.tag} {sheet.work.name_of(request)}".strip() for request in requests)


def _lines(sheet: TimedPlan, data: dict[str, Any]) -> list[str]:
    def when(iso: str | None) -> str:
        if iso is None:
            return "nobody said"
        return moment_words(sheet.now, datetime.fromisoformat(iso), sheet.work.settings.zone)

    lines = [
        f"{each['printer']}: run {each['run']} is on it, {each['what'] or 'by hand'}; "
        f"{'stopped' if each['state'] == 'stopped' else 'expected over'} {when(each['expected_end'])}"
        for each in data["printing"]
    ]
    lines += _run_lines(sheet, data, when)
    lines += [
        f"{each['request']} is {duration_words(each['late_minutes'])} late: {each['why']}"
        for each in data["late"]
    ]
    lines += [f"{each['request']} is not planned: {each['why']}" for each in data["not_planned"]]
    if data["saves"]:
        lines.append(data["saves"])
    return lines or ["Nothing is planned."]


def _run_lines(sheet: TimedPlan, data: dict[str, Any], when: Any) -> list[str]:
    rows = [
        (
            each["printer"],
            run.called,
            each["nozzle"],
            each["material"],
            f"{when(each['hands_on_from'])} - {when(each['ends'])}",
            grams_words(run.mg),
            each["what"],
        )
        for each, run in zip(data["runs"], sheet.runs, strict=True)
    ]
    lines = []
    for row, each in zip(table(rows), data["runs"], strict=True):
        lines += [row, f"    {each['why']}"] if each["why"] else [row]
    return lines


def runs_of_problem(problem: Path, method: str, as_json: bool) -> int:
    """Plan the problem in a JSON file and answer as JSON, or with one line a run."""
    from printcrib.core.planning.problem_json import METHODS, parse
    from printcrib.core.planning.problem_json import answer as answer_of

    if method not in METHODS:
        raise ShopError(f'There is no way of planning called "{method}"', f"Choose {', '.join(METHODS)}.")
    parsed = parse(_loaded(problem))
    began = time.perf_counter()
    plan = METHODS[method](parsed)
    data = answer_of(parsed, plan, method, round(time.perf_counter() - began, 4))
    answer(data, as_json, lambda: _problem_lines(data))
    return 0


def _loaded(problem: Path) -> object:
    try:
        return json.loads(problem.read_text("utf-8"))
    except OSError as error:
        raise ShopError(f"{problem} cannot be read", "Check its name and try again.") from error
    except ValueError as error:
        raise ShopError(f"{problem} is not JSON", "Correct the problem file.") from error


def _problem_lines(data: dict[str, Any]) -> list[str]:
    rows = [
        (
            run["printer"],
            run["nozzle"],
            run["material"],
            f"{run['hands_on_from']} / {run['starts']} - {run['ends']}",
            ", ".join(run["tasks"]),
        )
        for run in data["runs"]
    ]
    return [
        *table(rows),
        f"cost {data['cost']}, late {data['late_weighted']}, {data['nozzle_swaps']} nozzle swaps, "
        f"{data['setup_minutes']} min hands-on, over at {data['makespan']} ({data['method']})",
    ]
