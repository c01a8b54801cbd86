"""Edits of the form that touch more than one row: what leans on a printer goes along with it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from printcrib.core.people import Role
from printcrib.screens.set_up.form import (
    NOT_FITTED,
    Form,
    PersonRow,
    PrinterRow,
    ShiftRow,
    SpoolRow,
)

R = TypeVar("R")

LEAST_PEOPLE = 2
MOST_ROWS = 40


def swapped(rows: Sequence[R], number: int, row: R) -> tuple[R, ...]:
    """The rows with one of them changed."""
    return (*rows[:number], row, *rows[number + 1 :])


def without(rows: Sequence[R], number: int) -> tuple[R, ...]:
    """The rows with one taken out."""
    return (*rows[:number], *rows[number + 1 :])


def add_person(form: Form) -> Form:
    """One more person, a machinist at first."""
    return replace(form, people=(*form.people, PersonRow()))


def add_printer(form: Form) -> Form:
    """One more printer, as large as the one before."""
    before = form.printers[-1] if form.printers else PrinterRow()
    taken = {row.name.strip() for row in form.printers}
    numbers = (f"Printer {number}" for number in range(1, MOST_ROWS + 2))
    name = next(name for name in numbers if name not in taken)
    return replace(form, printers=(*form.printers, replace(before, name=name)))


def take_out_printer(form: Form, number: int) -> Form:
    """Take a printer out; its spool goes to the shelf, its answers are dropped."""

    def now(at: int) -> int:
        return -1 if at == number else at - (at > number)

    return replace(
        form,
        printers=without(form.printers, number),
        spools=tuple(replace(row, on_printer=now(row.on_printer)) for row in form.spools),
        alone_on=tuple((now(at), material) for at, material in form.alone_on if at != number),
    )


def set_bores(row: PrinterRow, bores_um: Sequence[int]) -> PrinterRow:
    """Change which nozzles there are; the fitted one stays while it is among them."""
    bores = tuple(sorted(bores_um))
    fitted = row.fitted_um if row.fitted_um in bores else next(iter(bores), NOT_FITTED)
    hardened = tuple(bore for bore in row.hardened_um if bore in bores)
    return replace(row, bores_um=bores, fitted_um=fitted, hardened_um=hardened)


def add_spool(form: Form, like: SpoolRow | None = None) -> Form:
    """One more spool; one like another is not on its printer too."""
    new = replace(like, on_printer=-1) if like is not None else SpoolRow()
    return replace(form, spools=(*form.spools, new))


def set_spool(form: Form, number: int, row: SpoolRow) -> Form:
    """Change a spool; a printer carries one, so the spool before it goes to the shelf."""
    others = tuple(
        replace(other, on_printer=-1) if at != number and 0 <= row.on_printer == other.on_printer else other
        for at, other in enumerate(form.spools)
    )
    return replace(form, spools=swapped(others, number, row))


def add_shift(form: Form) -> Form:
    """One more shift: the late one after the early one."""
    last = form.shifts[-1] if form.shifts else None
    new = ShiftRow() if last is None else replace(last, opens=last.closes, closes=(last.closes + 480) % 1440)
    return replace(form, shifts=(*form.shifts, new))


def set_alone(form: Form, number: int, materials: Sequence[str]) -> Form:
    """Which materials a printer may print when nobody is in."""
    others = tuple(pair for pair in form.alone_on if pair[0] != number)
    return replace(form, alone_on=(*others, *((number, material) for material in materials)))


def may_release(row: PersonRow) -> bool:
    """Whether this person can release what somebody else asked for."""
    return Role.REVIEWER.value in row.roles
