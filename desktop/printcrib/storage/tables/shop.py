"""The shop's hours, settings, duties and files."""

from datetime import datetime

from sqlalchemy.orm import Mapped

from printcrib.storage.tables.columns import RecordRow, once_only


class ShiftRow(RecordRow):
    """One shift."""

    __tablename__ = "shifts"
    __table_args__ = (*once_only("shifts"),)

    weekday: Mapped[int]
    opens: Mapped[str]
    closes: Mapped[str]


class ClosedDayRow(RecordRow):
    """One closed day."""

    __tablename__ = "closed_days"
    __table_args__ = (*once_only("closed_days"),)

    day: Mapped[str]
    words: Mapped[str]


class SettingsRow(RecordRow):
    """One shop settings."""

    __tablename__ = "settings"
    __table_args__ = (*once_only("settings"),)

    name: Mapped[str]
    zone: Mapped[str]
    currency: Mapped[str]
    clear_minutes: Mapped[int]
    nozzle_minutes: Mapped[int]
    material_minutes: Mapped[int]
    purge_mg: Mapped[int]
    gap_mm: Mapped[float]
    fill_limit: Mapped[float]
    safety_minutes: Mapped[int]
    persons: Mapped[int]
    hands_on_rate_thousandths: Mapped[int | None]
    late_cost: Mapped[int]
    setup_cost: Mapped[int]
    makespan_cost: Mapped[int]
    tail_mg: Mapped[int]
    is_demo: Mapped[bool]


class DutyRow(RecordRow):
    """One duty."""

    __tablename__ = "duties"
    __table_args__ = (*once_only("duties"),)

    name: Mapped[str]
    holder: Mapped[str]
    until: Mapped[datetime]
    done_for: Mapped[str]


class AttachmentRow(RecordRow):
    """One file."""

    __tablename__ = "attachments"
    __table_args__ = (*once_only("attachments"),)

    sha256: Mapped[str]
    bytes: Mapped[int]
    kind: Mapped[str]
