"""What the run sheet says and draws, made from the read model without any widget."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from printcrib.core.calendar import clock_words, moment_words
from printcrib.screens.parts.time_line_data import (
    Closed,
    FittedNozzle,
    LaneData,
    NeededBy,
    RunBlock,
    RunState,
    SetUp,
    Spare,
    TimeLineData,
)
from printcrib.services.look_at_runs import Bar, Lane, NeededMark, RunSheet, SheetRow

TIGHT_MINUTES = 30
_NUMBERED = re.compile(r"\b(R|[Rr]un) (\d)")
MOST_NAMED = 4
"""So many late requests are named above the lanes; the list names them all."""


@dataclass(frozen=True, kw_only=True)
class ListRow:
    """One line of the list: a run, or a request that could not be planned.

    Attributes:
        key: as on the time line; a text for what is not planned. tags: the requests.
        request_id: of what is not planned.
    """

    key: int | str
    number: str
    tags: str
    printer: str
    bore: str
    material: str
    starts: str
    ends: str
    needed: str
    spare: str
    is_late: bool
    why: str
    run_id: int | None = None
    request_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class Head:
    """Title, sentence and presses of the sheet.

    Attributes:
        main: what the main button does: "plan", "keep". other: "proposal", "leave" or "" beside it.
    """

    title: str
    words: str
    main: str
    main_words: str
    other: str
    other_words: str


def head_of(sheet: RunSheet) -> Head:
    """What stands above the lanes."""
    said = [sheet.saving, late_words(sheet)]
    if sheet.unplanned:
        one = len(sheet.unplanned) == 1
        said.append(f"{len(sheet.unplanned)} request{' is' if one else 's are'} not planned.")
    words = " ".join(part for part in said if part)
    if sheet.is_proposal:
        return Head(
            title="Run sheet, proposed",
            words=words,
            main="keep",
            main_words="Keep this plan",
            other="leave",
            other_words="Leave it",
        )
    waits = sheet.proposal_id is not None
    return Head(
        title="Run sheet",
        words=words if sheet.rows else "Nothing is planned.",
        main="plan",
        main_words="Plan again",
        other="proposal" if waits else "",
        other_words="See the proposal",
    )


def late_words(sheet: RunSheet) -> str:
    """ "Late: R 198, R 7 and 2 more."."""
    late = list(
        dict.fromkeys(
            mark.tag
            for lane in sheet.lanes
            for mark in sorted(lane.marks, key=lambda mark: -mark.late_minutes)
            if mark.late_minutes
        )
    )
    late += [tag for row in sheet.rows if row.is_late for tag in row.requests if tag not in late]
    if not late:
        return ""
    late = list(dict.fromkeys(late))
    more = len(late) - MOST_NAMED
    return f"Late: {', '.join(late[:MOST_NAMED])}{f' and {more} more' if more > 0 else ''}."


def list_rows(sheet: RunSheet) -> tuple[ListRow, ...]:
    """Runs in the order somebody sets them up, then what could not be planned."""
    return (
        *(_row(row) for row in sheet.rows),
        *(
            ListRow(
                key=f"request {key}",
                number="–",
                tags=tag,
                printer="",
                bore="",
                material="",
                starts="not planned",
                ends="",
                needed="",
                spare="",
                is_late=True,
                why=_unbroken(f"{words[:1].upper()}{words[1:]}"),
                request_id=key,
            )
            for key, tag, words in sheet.unplanned
        ),
    )


def past_rows(sheet: RunSheet) -> dict[int, ListRow]:
    """Runs drawn on the lanes that the list has no line for: they are taken off already."""
    return {
        bar.key: replace(
            off_sheet(bar.key),
            number=bar.label,
            printer=lane.printer.name,
            starts=moment_words(sheet.now, bar.starts, sheet.zone),
            ends=moment_words(sheet.now, bar.ends, sheet.zone),
            why="Taken off.",
        )
        for lane in sheet.lanes
        for bar in lane.bars
        if bar.kind == "taken off"
    }


def off_sheet(run_id: int) -> ListRow:
    """A run that stands neither on the lanes nor in the list."""
    return ListRow(
        key=run_id,
        number="",
        tags="",
        printer="",
        bore="",
        material="",
        starts="",
        ends="",
        needed="",
        spare="",
        is_late=False,
        why="This run is not on the sheet.",
        run_id=run_id,
    )


def _unbroken(words: str) -> str:
    """ "R 214" and "run 32" never part at the end of a line."""
    return _NUMBERED.sub("\\1\u00a0\\2", words)


def _row(row: SheetRow) -> ListRow:
    starts, _, ends = row.from_to.partition(" – ")
    return ListRow(
        key=row.key,
        number="new" if row.number is None else str(row.number),
        tags=", ".join(row.requests),
        printer=row.printer,
        bore=row.bore,
        material=row.material,
        starts=starts,
        ends=ends,
        needed=row.needed,
        spare=row.spare,
        is_late=row.is_late,
        why=_unbroken(row.why),
        run_id=row.run_id,
    )


def time_line_of(sheet: RunSheet) -> TimeLineData:
    """The lanes with shifts, set-ups and needed-by marks."""
    rows = {row.key: row for row in sheet.rows}
    return TimeLineData(
        now=sheet.now.astimezone(ZoneInfo(sheet.zone)),
        lanes=tuple(_lane(lane, rows) for lane in sheet.lanes),
        closed=tuple(closed_of(sheet)),
    )


def closed_of(sheet: RunSheet) -> Iterable[Closed]:
    """Hours in which nobody is in, over the time drawn."""
    at = sheet.starts
    for opens, closes in sheet.open_spans:
        if opens > at:
            yield _closed(at, opens, sheet.zone)
        at = max(at, closes)
    if sheet.ends > at:
        yield _closed(at, sheet.ends, sheet.zone)


def _closed(start: datetime, end: datetime, zone: str) -> Closed:
    words = f"nobody in, {clock_words(start, zone)} to {clock_words(end, zone)}"
    return Closed(start=start, end=end, words=words)


def _lane(lane: Lane, rows: dict[int, SheetRow]) -> LaneData:
    return LaneData(
        printer=lane.printer.name,
        runs=tuple(_block(bar, rows.get(bar.key)) for bar in lane.bars),
        set_ups=tuple(SetUp(start=each.starts, end=each.ends, swap=each.is_swap) for each in lane.hands_on),
        needed=tuple(_needed(mark) for mark in lane.marks),
        nozzles=tuple(FittedNozzle(bore=f.bore, start=f.starts, end=f.ends) for f in lane.fitted),
    )


def _block(bar: Bar, row: SheetRow | None) -> RunBlock:
    states: dict[str, RunState] = {"printing": "printing", "planned": "planned"}
    words = [f"run {bar.label}", bar.kind]
    if row is not None:
        words += [row.from_to, f"nozzle {row.bore}" if row.bore else "", row.material, *row.requests]
    return RunBlock(
        key=bar.key,
        label=bar.label,
        start=bar.starts,
        end=bar.ends,
        state=states.get(bar.kind, "over"),
        words=", ".join(word for word in words if word),
    )


def _needed(mark: NeededMark) -> NeededBy:
    spare = (mark.needed - mark.ready).total_seconds() / 60
    state: Spare = "late" if mark.late_minutes else "tight" if spare < TIGHT_MINUTES else "spare"
    label = f"{mark.tag} tight" if state == "tight" else mark.words
    return NeededBy(ready=mark.ready, by=mark.needed, label=label, state=state)
