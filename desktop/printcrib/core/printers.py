"""The printers and the nozzles the shop owns."""

from dataclasses import dataclass, field

from printcrib.core.records import Record


@dataclass(frozen=True, kw_only=True)
class Printer(Record):
    """One filament printer of the shop.

    Attributes:
        platform_mm: width and depth that can be printed on.
        height_mm: tallest copy it can print.
        fitted_nozzle_id: the nozzle on it now.
        mounted_spool_id: the spool on it now.
        material_ids: materials it may print; empty means all.
        rate_thousandths: machine rate an hour, thousandths of the currency; None when not told.
        out_of_service: the plan leaves it out.
        needs_clearing: something is still on the platform that nobody took off.
    """

    name: str
    platform_mm: tuple[float, float] = (220.0, 220.0)
    height_mm: float = 220.0
    fitted_nozzle_id: int | None = None
    mounted_spool_id: int | None = None
    material_ids: tuple[int, ...] = ()
    rate_thousandths: int | None = None
    out_of_service: bool = False
    needs_clearing: bool = False
    active: bool = True


@dataclass(frozen=True, kw_only=True)
class Nozzle(Record):
    """A nozzle is a thing one owns (N-3): bore, hardened or not, and what went through it."""

    number: int
    bore_um: int
    hardened: bool = False
    printer_id: int | None = None  # the printer it is kept for; None fits any
    minutes_used: int = 0
    mg_used: int = 0
    retired: bool = False

    @property
    def tag(self) -> str:
        """How people name it."""
        return f"N-{self.number}"


@dataclass(frozen=True, kw_only=True)
class PrintProfile(Record):
    """Print settings the shop changed for one printer, nozzle bore and material.

    Attributes:
        printer_id, bore_um: whose settings; material_id None means every material.
        values: field name of `core.estimating` PrintSettings -> value that replaces the typical one.
    """

    printer_id: int
    bore_um: int
    material_id: int | None = None
    values: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Unattended(Record):
    """The lead's answer to "May prints run when nobody is in?" for one printer and material."""

    printer_id: int
    material_id: int
    allowed: bool
    answered_by_id: int


@dataclass(frozen=True, kw_only=True)
class FreshStart(Record):
    """The lead had what was learned of a printer and nozzle forgotten.

    Prints taken off before it happened no longer count for what the shop learns.
    """

    printer_id: int
    bore_um: int
    who_id: int
