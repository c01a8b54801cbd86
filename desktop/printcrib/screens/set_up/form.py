"""The set-up as far as it is filled in: plain rows that are kept over a restart, and the shop they make."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from typing import Any, TypeVar

from printcrib.core.materials import Material
from printcrib.core.people import Role
from printcrib.core.shop import Shift, ShopSettings
from printcrib.screens.parts.clock_words import wall_text
from printcrib.services.edit_people import NewPerson
from printcrib.services.set_up_shop import NewPrinter, NewSpool, SetUp

T = TypeVar("T")

BORES_UM = (250, 400, 600, 800, 1000)
"""Bores offered in set-up; others are added in Shop settings."""

NOT_FITTED = 0


@dataclass(frozen=True, kw_only=True)
class PersonRow:
    """One person; `roles` are the values of `Role`."""

    name: str = ""
    roles: tuple[str, ...] = (Role.MACHINIST.value,)


@dataclass(frozen=True, kw_only=True)
class PrinterRow:
    """One printer with the nozzles kept for it.

    Attributes:
        bores_um: one nozzle each. hardened_um: those of them that are hardened.
        fitted_um: the one on it now, NOT_FITTED for none.
    """

    name: str = ""
    width_mm: int = 220
    depth_mm: int = 220
    height_mm: int = 220
    bores_um: tuple[int, ...] = (400,)
    hardened_um: tuple[int, ...] = ()
    fitted_um: int = 400


@dataclass(frozen=True, kw_only=True)
class SpoolRow:
    """One spool.

    Attributes:
        left_g: filament on it now. on_printer: number of the printer in the form, -1 for none.
    """

    material: str = "PLA"
    colour: str = ""
    full_g: int = 1000
    left_g: int = 1000
    sealed: bool = False
    on_printer: int = -1


@dataclass(frozen=True, kw_only=True)
class ShiftRow:
    """The same hours on some weekdays, Monday is 0; times are minutes after midnight."""

    days: tuple[int, ...] = (0, 1, 2, 3, 4)
    opens: int = 7 * 60
    closes: int = 15 * 60 + 30


@dataclass(frozen=True, kw_only=True)
class Form:
    """All that is asked, as far as it is answered.

    Attributes:
        place: folder or address of the new shop. machines: names with commas between.
        alone: answer to "May prints run when nobody is in?": "", "no" or "yes".
        alone_on: (number of the printer, material) pairs that may.
    """

    name: str = ""
    zone: str = ""
    place: str = ""
    machines: str = ""
    people: tuple[PersonRow, ...] = (
        PersonRow(roles=(Role.LEAD.value,)),
        PersonRow(roles=(Role.REVIEWER.value,)),
    )
    printers: tuple[PrinterRow, ...] = (PrinterRow(name="Printer 1"),)
    spools: tuple[SpoolRow, ...] = ()
    shifts: tuple[ShiftRow, ...] = field(default=(ShiftRow(),))
    alone: str = ""
    alone_on: tuple[tuple[int, str], ...] = ()


_ROWS: Mapping[str, type[Any]] = {
    "people": PersonRow,
    "printers": PrinterRow,
    "spools": SpoolRow,
    "shifts": ShiftRow,
}


def to_text(form: Form) -> str:
    """The form as it is remembered."""
    return json.dumps(asdict(form))


def from_text(text: str) -> Form | None:
    """A remembered form; None where there is none, or not one this program understands."""
    try:
        values = json.loads(text)
        for name, kind in _ROWS.items():
            values[name] = tuple(_row(kind, row) for row in values[name])
        values["alone_on"] = tuple((int(printer), str(material)) for printer, material in values["alone_on"])
        return _row(Form, values)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _row(kind: type[T], values: Mapping[str, Any]) -> T:
    """One row with every field of the kind it should be.

    Raises:
        ValueError: a field is of another kind.
    """
    like = asdict(kind())  # type: ignore[call-overload]
    known = {each.name for each in fields(kind)}  # type: ignore[arg-type]
    if set(values) != known:
        raise ValueError("the row has other fields")
    made = {name: tuple(value) if isinstance(value, list) else value for name, value in values.items()}
    if any(type(value) is not type(like[name]) for name, value in made.items()):
        raise ValueError("a field is of another kind")
    return kind(**made)


def machine_names(form: Form) -> tuple[str, ...]:
    """The machines named, each once."""
    named = (name.strip() for name in form.machines.split(","))
    return tuple(dict.fromkeys(name for name in named if name))


def materials_at_hand(form: Form, materials: Sequence[Material]) -> tuple[str, ...]:
    """Materials to ask about: those of the spools; all of the table while there is no spool."""
    used = {spool.material for spool in form.spools}
    return tuple(each.name for each in materials if not used or each.name in used)


def lead_name(form: Form) -> str:
    """Who answers for the shop."""
    return next((row.name.strip() for row in form.people if Role.LEAD.value in row.roles), "")


def set_up_of(form: Form, materials: Sequence[Material]) -> SetUp:
    """The shop that the form describes."""
    return SetUp(
        settings=ShopSettings(name=form.name.strip(), zone=form.zone),
        people=tuple(
            NewPerson(name=row.name.strip(), roles=tuple(Role(role) for role in row.roles))
            for row in form.people
        ),
        materials=tuple(materials),
        printers=tuple(_printer(row) for row in form.printers),
        spools=tuple(_spool(row, form) for row in form.spools),
        shifts=_shifts(form.shifts),
        machines=machine_names(form),
        unattended=_alone(form, materials),
    )


def _printer(row: PrinterRow) -> NewPrinter:
    bores = sorted(row.bores_um)
    return NewPrinter(
        name=row.name.strip(),
        platform_mm=(float(row.width_mm), float(row.depth_mm)),
        height_mm=float(row.height_mm),
        nozzles=tuple((bore, bore in row.hardened_um) for bore in bores),
        fitted=bores.index(row.fitted_um) if row.fitted_um in bores else None,
    )


def _spool(row: SpoolRow, form: Form) -> NewSpool:
    mounted = 0 <= row.on_printer < len(form.printers)
    return NewSpool(
        material=row.material,
        colour=row.colour.strip(),
        nominal_mg=row.full_g * 1000,
        left_mg=row.left_g * 1000,
        sealed=row.sealed,
        on_printer=form.printers[row.on_printer].name.strip() if mounted else "",
    )


def _shifts(rows: Sequence[ShiftRow]) -> tuple[Shift, ...]:
    told = {(day, wall_text(row.opens), wall_text(row.closes)) for row in rows for day in row.days}
    return tuple(Shift(weekday=day, opens=opens, closes=closes) for day, opens, closes in sorted(told))


def _alone(form: Form, materials: Sequence[Material]) -> tuple[tuple[str, str], ...]:
    """Only pairs that are still asked about; a printer or material taken out since takes its answer along."""
    if form.alone != "yes":
        return ()
    asked = materials_at_hand(form, materials)
    return tuple(
        (form.printers[number].name.strip(), material)
        for number, material in form.alone_on
        if number < len(form.printers) and material in asked
    )
