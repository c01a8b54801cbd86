"""Counts of use as a table of rows: one aid a row, read strictly, each fault told with its line."""

import csv
import io
import math
from collections.abc import Mapping

from printcrib.core.errors import ShopError
from printcrib.core.life import LifeUnit

COLUMNS = ("count", "failed", "entry", "last_good", "weight")
NEEDED = ("count", "failed")
LEAST, MOST = 1e-9, 1e12
"""Counts other than 0 lie between these; beyond them they are slips of the pen."""

MOST_ROWS = 100_000
HEAVIEST = 1e6


def read_rows(content: bytes, name: str) -> tuple[dict[int, LifeUnit], list[str]]:
    """The aids of a CSV file by their row (1 is the first below the names), and a sentence for each bad row.

    Raises:
        ShopError: it is no such table, or holds no rows.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ShopError(f"{name} is not text in UTF-8", "Save the table as CSV in UTF-8.") from None
    lines = csv.reader(io.StringIO(text, newline=""))
    try:
        names = [each.strip().casefold() for each in next(lines, [])]
        _refuse_names(names, name)
        return _rows(lines, names, name)
    except csv.Error:
        raise ShopError(f"{name} cannot be read as a table", "Save it as CSV with commas.") from None


def _refuse_names(names: list[str], name: str) -> None:
    """Refuse a first line that does not name the columns."""
    if not any(names):
        raise ShopError(f"{name} is empty", "Give a first line with count,failed and one aid a line.")
    if any(";" in each or "\t" in each for each in names):
        raise ShopError(
            f"{name} is not parted by commas", "Save it with commas between and points in numbers."
        )
    for needed in NEEDED:
        if needed not in names:
            raise ShopError(f"{name} has no column called {needed}", "Name it in the first line.")
    for column in COLUMNS:
        if names.count(column) > 1:
            raise ShopError(f"{name} has the column {column} twice", "Keep one of them.")


def _rows(lines: object, names: list[str], name: str) -> tuple[dict[int, LifeUnit], list[str]]:
    assert hasattr(lines, "line_num")
    units: dict[int, LifeUnit] = {}
    faults: list[str] = []
    row = 0
    for cells in lines:  # type: ignore[attr-defined]
        if not any(cell.strip() for cell in cells):
            continue
        row += 1
        if row > MOST_ROWS:
            raise ShopError(f"{name} has more than {MOST_ROWS} rows", "Give fewer at a time.")
        try:
            if len(cells) > len(names):
                raise ShopError("it has more cells than the first line", "write numbers with a point")
            units[row] = _unit({key: cell.strip() for key, cell in zip(names, cells, strict=False)})
        except ShopError as fault:
            faults.append(f"Line {lines.line_num}: {fault.what}; {fault.do}.")
    if not row:
        raise ShopError(f"{name} holds no rows", "Give one aid a line below the names.")
    return units, faults


def _unit(cells: Mapping[str, str]) -> LifeUnit:
    count = _number(cells, "count")
    if count is None:
        raise ShopError("there is no count", "write how often it was used")
    failed = cells.get("failed", "")
    if failed not in ("0", "1"):
        raise ShopError(f'failed is "{failed[:20]}"', "write 1 if it failed, 0 if it was still good")
    entry, last_good = _number(cells, "entry") or 0.0, _number(cells, "last_good")
    if entry > count:
        raise ShopError(f"entry {entry:g} is past count {count:g}", "write the count when counting began")
    if last_good is not None and (last_good > count or (failed == "1" and last_good == count > 0.0)):
        raise ShopError(
            f"last_good {last_good:g} is not before count {count:g}", "write the last count it was known good"
        )
    weight = _number(cells, "weight")
    if weight is not None and not 0.0 < weight <= HEAVIEST:
        raise ShopError(f"weight is {weight:g}", f"write more than 0 and at most {HEAVIEST:.0f}")
    return LifeUnit(count, failed == "1", entry, last_good, 1.0 if weight is None else weight)


def _number(cells: Mapping[str, str], column: str) -> float | None:
    """A count of a row; None where the cell is empty."""
    told = cells.get(column, "")
    if not told:
        return None
    try:
        number = float(told)
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or "_" in told:
        raise ShopError(f'{column} is "{told[:20]}", not a number', "write a number with a point")
    if number != 0.0 and not LEAST <= number <= MOST:
        raise ShopError(f"{column} is {number:g}", f"write 0 or from {LEAST:g} to {MOST:g}")
    return abs(number)
