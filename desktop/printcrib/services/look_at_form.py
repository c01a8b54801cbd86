"""Look at what a form offers to choose from: pattern sizes, machines, people, materials, printers."""

from collections.abc import Mapping
from dataclasses import dataclass

from printcrib.core.calendar import ShopCalendar, moment_words
from printcrib.core.materials import SpoolState
from printcrib.core.patterns import Pattern, Size
from printcrib.core.safety import is_live
from printcrib.core.shapes import size_words
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.look_at_requests import by_key
from printcrib.services.read_calendar import calendar_of, settings_of, zone_of
from printcrib.services.release_use import release_words

GONE = (SpoolState.EMPTY, SpoolState.GONE)


@dataclass(frozen=True, kw_only=True)
class SizeChoice:
    """One pattern size somebody may ask for.

    Attributes:
        words: "spindle stop 32 x 60". second: what it is made of and how large.
        release: the release that holds for its current revision, in words; "" for none.
    """

    size: Size
    pattern: Pattern
    words: str
    second: str
    release: str


@dataclass(frozen=True, kw_only=True)
class FormChoices:
    """What there is to choose from.

    Attributes:
        people: who may ask. machines, materials, printers: names by key, active ones.
        colours: of the spools there are, by material.
    """

    sizes: tuple[SizeChoice, ...]
    people: Mapping[int, str]
    machines: Mapping[int, str]
    materials: Mapping[int, str]
    colours: Mapping[int, tuple[str, ...]]
    printers: Mapping[int, str]
    bores_um: tuple[int, ...]
    calendar: ShopCalendar
    currency: str


def look_at_form(shop: Shop) -> FormChoices:
    """What a form offers, each list in the order people read it."""
    with shop.read() as uow:
        active = is_("active", True)
        materials = {each.id: each.name for each in uow.materials.find(active, order_by="name")}
        return FormChoices(
            sizes=_sizes(uow, materials),
            people={each.id: each.name for each in uow.people.find(active, order_by="name")},
            machines={each.id: each.name for each in uow.machines.find(active, order_by="name")},
            materials=materials,
            colours=_colours(uow),
            printers={each.id: each.name for each in uow.printers.find(active)},
            bores_um=tuple(sorted({each.bore_um for each in uow.nozzles.find(is_("retired", False))})),
            calendar=calendar_of(uow),
            currency=settings_of(uow).currency,
        )


def _sizes(uow: UnitOfWork, materials: Mapping[int, str]) -> tuple[SizeChoice, ...]:
    patterns = by_key(uow.patterns.find(is_("listed", True)))
    sizes = uow.sizes.find(
        among("pattern_id", tuple(patterns)), is_("active", True), Where("model_id", "not none")
    )
    models = by_key(uow.models.find(among("id", (size.model_id for size in sizes))))
    releases = _releases(uow, sizes)
    choices = []
    for size in sizes:
        pattern = patterns[size.pattern_id]
        material = f"{materials.get(pattern.material_id or 0, '')} {pattern.colour}".strip()
        extents = size_words(models[size.model_id or 0].extents_mm)
        choices.append(
            SizeChoice(
                size=size,
                pattern=pattern,
                words=f"{pattern.name} {size.name}".strip(),
                second=", ".join(words for words in (material, extents) if words),
                release=releases.get(size.id, ""),
            )
        )
    return tuple(sorted(choices, key=lambda choice: choice.words.casefold()))


def _releases(uow: UnitOfWork, sizes: tuple[Size, ...]) -> dict[int, str]:
    """The newest release that holds for each size's current revision, in words."""
    people = {person.id: person.name for person in uow.people.find()}
    zone = zone_of(uow)
    current = {size.id: size.model_id for size in sizes}
    return {
        held.size_id: release_words(
            held,
            lambda person_id: people.get(person_id, "the tool"),
            lambda moment: moment_words(uow.now, moment, zone),
        )
        for held in uow.releases.find(among("size_id", tuple(current)))
        if held.model_id == current[held.size_id] and is_live(held, uow.now)
    }


def _colours(uow: UnitOfWork) -> dict[int, tuple[str, ...]]:
    colours: dict[int, set[str]] = {}
    for spool in uow.spools.find():
        if spool.state not in GONE:
            colours.setdefault(spool.material_id, set()).add(spool.colour)
    return {key: tuple(sorted(names)) for key, names in colours.items()}
