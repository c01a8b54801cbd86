"""A reviewer's decision that one size and model revision may be used under stated conditions."""

from dataclasses import dataclass
from datetime import datetime

from printcrib.core.records import Record


@dataclass(frozen=True, kw_only=True)
class SizeRelease(Record):
    """What a named reviewer released, under which conditions and until when.

    Attributes:
        answers: the safety answers it was decided on; it lapses when they change.
        material_ids, bores_um, machine_ids: what it covers; empty machine_ids means any machine.
        turn: the orientation printed. top_speed_rpm, pressure_limit: in writing, "" when not asked.
        reviewer_id: who released it. outside_reviewer: name, date and words when the lead
            recorded an outside person. asker_id: whose request was released; never the reviewer.
        lapsed_at, lapsed_by: when and why it no longer holds.
    """

    size_id: int
    model_id: int
    answers: tuple[int, ...]
    material_ids: tuple[int, ...]
    bores_um: tuple[int, ...]
    turn: int = 0
    machine_ids: tuple[int, ...] = ()
    top_speed_rpm: int | None = None
    pressure_limit: str = ""
    conditions: str = ""
    reviewer_id: int = 0
    outside_reviewer: str = ""
    asker_id: int = 0
    valid_from: datetime
    until: datetime | None = None
    lapsed_at: datetime | None = None
    lapsed_by: str = ""
