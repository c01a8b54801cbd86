"""Printers, nozzles and what they may do."""

from sqlalchemy.orm import Mapped, mapped_column

from printcrib.storage.tables.columns import AsJson, RecordRow, key, once_only


class PrinterRow(RecordRow):
    """One printer."""

    __tablename__ = "printers"
    __table_args__ = (*once_only("printers"),)

    name: Mapped[str]
    platform_mm: Mapped[tuple[float, float]] = mapped_column(AsJson(tuple[float, float]))
    height_mm: Mapped[float]
    fitted_nozzle_id: Mapped[int | None] = key("nozzles", later=True)
    mounted_spool_id: Mapped[int | None] = key("spools")
    material_ids: Mapped[tuple[int, ...]] = mapped_column(AsJson(tuple[int, ...]))
    rate_thousandths: Mapped[int | None]
    out_of_service: Mapped[bool]
    needs_clearing: Mapped[bool]
    active: Mapped[bool]


class NozzleRow(RecordRow):
    """One nozzle."""

    __tablename__ = "nozzles"
    __table_args__ = (*once_only("nozzles"),)

    number: Mapped[int]
    bore_um: Mapped[int]
    hardened: Mapped[bool]
    printer_id: Mapped[int | None] = key("printers")
    minutes_used: Mapped[int]
    mg_used: Mapped[int]
    retired: Mapped[bool]


class PrintProfileRow(RecordRow):
    """One print setting."""

    __tablename__ = "print_profiles"
    __table_args__ = (*once_only("print_profiles"),)

    printer_id: Mapped[int] = key("printers")
    bore_um: Mapped[int]
    material_id: Mapped[int | None] = key("materials")
    values: Mapped[dict[str, float]] = mapped_column(AsJson(dict[str, float]))


class UnattendedRow(RecordRow):
    """One answer on unattended running."""

    __tablename__ = "unattended"
    __table_args__ = (*once_only("unattended"),)

    printer_id: Mapped[int] = key("printers")
    material_id: Mapped[int] = key("materials")
    allowed: Mapped[bool]
    answered_by_id: Mapped[int] = key("people")


class FreshStartRow(RecordRow):
    """One fresh start of what is learned."""

    __tablename__ = "fresh_starts"
    __table_args__ = (*once_only("fresh_starts"),)

    printer_id: Mapped[int] = key("printers")
    bore_um: Mapped[int]
    who_id: Mapped[int] = key("people")
