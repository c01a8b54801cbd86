"""`printcrib week`: the weekly usage report, as a PDF and in figures."""

from pathlib import Path
from typing import Any

from printcrib.app.commands.answering import answer, opened
from printcrib.core.errors import ShopError


def week(iso_week: str, output: Path | None, shop: str | None, as_json: bool) -> int:
    """Figures of one ISO week of the shop, the one it is in when none is named; with -o its PDF too."""
    from printcrib.services.weekly_report import week as week_of
    from printcrib.services.weekly_report import week_json

    with opened(shop) as wired:
        data = week_json(week_of(wired.shop, iso_week))
        if output is not None:
            write_paper(output, wired.shop.reports.week_pdf(data))
    answer(data, as_json, lambda: [*week_lines(data), *([f"Written: {output}"] if output else [])])
    return 0


def write_paper(target: Path, content: bytes) -> None:
    """Write a PDF where it was asked for.

    Raises:
        ShopError: nothing can be written there.
    """
    try:
        target.write_bytes(content)
    except OSError as error:
        raise ShopError(f"{target} cannot be written", "Choose another folder or name.") from error


def week_lines(data: dict[str, Any]) -> list[str]:
    """The figures of a week in a few sentences."""
    requests, hours, filament = data["requests"], data["hours"], data["filament"]
    lines = [
        f"{data['shop']}, week {data['week']}, {data['days_words']}",
        f"Requests: {requests['came_in']} in ({requests['by_the_tool']} by the tool), "
        f"{requests['done']} done, {requests['ready_late']} ready late, "
        f"{requests['open_late']} open and late; "
        f"promises kept {requests['promises_kept']} of {requests['promises_judged']}; "
        f"{requests['reviews_open']} reviews open.",
        f"Printer hours: {hours['printed']} printed, {hours['planned']} planned, {hours['by_hand']} by hand; "
        f"{hours['runs']} runs, {hours['failed_runs']} with a failure.",
        f"Filament: {filament['used_grams']} g used, {filament['purge_grams']} g of it purge, "
        f"{filament['scrap_grams']} g scrap.",
        f"Nozzle swaps: {data['swaps']['made']} made, {data['swaps']['avoided']} avoided.",
    ]
    lines += [
        f"Failed by {each['cause']}: {each['copies']} copies, {each['grams']} g, {each['hours']} h."
        for each in data["failures"]
    ]
    lines += [f"{each['tag']} {each['name']} is due {each['needed_by_words']}." for each in data["aids_due"]]
    lines += [
        f"{each['name']} is low: {each['left_grams']} g of at least {each['minimum_grams']} g."
        for each in data["spools_low"]
    ]
    return lines
