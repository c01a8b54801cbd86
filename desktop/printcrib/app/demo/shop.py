"""The demo shop as it stands before anything happened: people, printers, spools, pattern book."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from printcrib.app.clock import SetClock
from printcrib.app.demo.book import BOOK, BookPattern, BookSize
from printcrib.app.resources import resource_folder
from printcrib.app.wiring import Wired, open_shop
from printcrib.core.materials import Material
from printcrib.core.patterns import Size
from printcrib.core.people import Role
from printcrib.core.records import THE_TOOL
from printcrib.core.shapes import Mesh
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.edit_patterns import add_pattern, add_size
from printcrib.services.edit_people import NewPerson
from printcrib.services.interfaces import Shop
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile
from printcrib.services.set_minimum import set_minimum
from printcrib.services.set_up_shop import (
    NewPrinter,
    NewSpool,
    SetUp,
    SetUpDone,
    materials_from,
    set_up_shop,
)

LEAD, DESK, REVIEWER = "Marta", "Jonas", "Petra"
MACHINISTS = ("Ilse", "Tarek", "Bruno")
NORTH, SOUTH = "North", "South"
ZONE = "Europe/Vienna"
CARBON, TPU = "PA + short carbon", "TPU 95A"
MADE_HERE = "made by this program for its demo shop"
LICENCE = "MIT, as the program"

_PRICES = {"PETG": 24_000, "ASA": 31_000, "PLA": 21_000, TPU: 42_000, CARBON: 68_000}
"""Of our own invention, thousandths of a euro a kilogram."""

MINIMUMS = {("PETG", "grey"): 800, ("ASA", "black"): 500, ("PLA", "white"): 350, (TPU, "natural"): 150}
"""Grams the shop wants to have at least."""


@dataclass(frozen=True)
class DemoShop:
    """The demo shop with the names its people use.

    Attributes:
        clock: stands where the shop's time is. people, machines, printers, materials: keys by name.
        spools: keys in the order of their numbers. sizes: keys by "pattern size".
    """

    wired: Wired
    clock: SetClock
    people: Mapping[str, int]
    machines: Mapping[str, int]
    printers: Mapping[str, int]
    materials: Mapping[str, int]
    spools: tuple[int, ...]
    sizes: Mapping[str, int]

    @property
    def shop(self) -> Shop:
        """What the use cases get."""
        return self.wired.shop

    def press(self, name: str, *, really_at: datetime | None = None, station: str = "desk") -> Press:
        """A press by one of its people."""
        return Press(who_id=self.people[name], station=station, happened_at=really_at)


def make_demo_shop(place: Path, clock: SetClock, closed_day: date | None = None) -> DemoShop:
    """Set up the demo shop in a folder, with its pattern book but without any history.

    Args:
        closed_day: the one day on which it is closed.

    Raises:
        ShopError: there is a shop already, or the folder cannot be written.
    """
    wired = open_shop(place, clock=clock, create=True)
    try:
        begun = set_up_shop(wired.shop, Press(who_id=THE_TOOL, station="set-up"), _set_up(closed_day)).value
        people = {name: person.id for name, person in begun.people.items()}
        materials = {name: material.id for name, material in begun.materials.items()}
        for (name, colour), grams in MINIMUMS.items():
            set_minimum(wired.shop, Press(who_id=people[DESK]), materials[name], colour, grams * 1000)
        return DemoShop(
            wired=wired,
            clock=clock,
            people=people,
            machines=dict(begun.machines),
            printers={name: printer.id for name, printer in begun.printers.items()},
            materials=materials,
            spools=_spool_keys(begun),
            sizes=dict(_book(wired.shop, Press(who_id=people[DESK]), materials)),
        )
    except BaseException:
        wired.close()
        raise


def _spool_keys(begun: SetUpDone) -> tuple[int, ...]:
    return tuple(spool.id for spool in begun.spools)


def _set_up(closed_day: date | None) -> SetUp:
    return SetUp(
        settings=ShopSettings(name="Demo shop", zone=ZONE, hands_on_rate_thousandths=38_000, is_demo=True),
        people=_people(),
        materials=_materials(),
        printers=(
            NewPrinter(
                name=NORTH,
                platform_mm=(235.0, 235.0),
                height_mm=250.0,
                nozzles=((400, False), (600, False)),
                rate_thousandths=1_600,
            ),
            NewPrinter(
                name=SOUTH,
                platform_mm=(320.0, 300.0),
                height_mm=330.0,
                nozzles=((400, False), (600, False), (800, False)),
                fitted=1,
                rate_thousandths=2_300,
            ),
        ),
        nozzles=((600, True),),
        spools=_spools(),
        shifts=tuple(Shift(weekday=day, opens="07:00", closes="17:00") for day in range(5)),
        closed_days=((closed_day, "stocktaking"),) if closed_day else (),
        machines=("Lathe 1", "Lathe 2", "Mill 1", "Mill 2", "Bench"),
        unattended=((SOUTH, "PETG"),),
    )


def _people() -> tuple[NewPerson, ...]:
    return (
        NewPerson(name=LEAD, badge="B-01", roles=(Role.LEAD,)),
        NewPerson(name=DESK, badge="B-02", roles=(Role.DESK,)),
        NewPerson(name=REVIEWER, badge="B-03", roles=(Role.REVIEWER, Role.MACHINIST)),
        *(NewPerson(name=name, badge=f"B-{number:02d}") for number, name in enumerate(MACHINISTS, 4)),
    )


def _materials() -> tuple[Material, ...]:
    rows = tomllib.loads((resource_folder() / "materials.toml").read_text("utf-8"))["material"]
    return tuple(
        replace(material, price_per_kg_thousandths=_PRICES.get(material.name))
        for material in materials_from(rows)
    )


def _spools() -> tuple[NewSpool, ...]:
    """Six reels; three were weighed empty, the reels of the others are a guess."""
    return (
        NewSpool(
            material="PETG",
            colour="grey",
            lot="P24-117",
            left_mg=640_000,
            tare_mg=212_000,
            on_printer=SOUTH,
            place="rack 1",
        ),
        NewSpool(
            material="ASA", colour="black", lot="A-0932", tare_mg=198_000, on_printer=NORTH, place="rack 1"
        ),
        NewSpool(material="PETG", colour="grey", lot="P24-131", nominal_mg=2_300_000, place="rack 2"),
        NewSpool(material="PLA", colour="white", lot="L7781", left_mg=420_000, place="rack 2"),
        NewSpool(
            material=TPU, colour="natural", lot="U-55", nominal_mg=500_000, left_mg=310_000, place="rack 3"
        ),
        NewSpool(
            material=CARBON,
            colour="black",
            lot="C-204",
            nominal_mg=750_000,
            tare_mg=231_000,
            place="rack 3",
        ),
    )


def _book(shop: Shop, press: Press, materials: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    """Write the pattern book; gives each size's key under the name people call it."""
    for each in BOOK:
        wanted = replace(each.pattern, material_id=materials[each.material])
        pattern = add_pattern(shop, replace_key(press), wanted).value
        for size in each.sizes:
            new = Size(
                pattern_id=pattern.id,
                name=size.name,
                minimum_spares=size.spares,
                shelf_place=size.place,
                count_limit=size.limit,
            )
            made = add_size(shop, replace_key(press), new, _file(shop, each, size)).value
            yield f"{pattern.name} {size.name}", made.id


def replace_key(press: Press) -> Press:
    """The same person at the same station, a press of its own."""
    return Press(who_id=press.who_id, station=press.station)


def _file(shop: Shop, each: BookPattern, size: BookSize) -> ModelFile:
    name = f"{each.pattern.name} {size.name}.{size.kind}".replace(" ", "-").replace(",", "")
    return model_file(shop, size.model(), name)


def model_file(shop: Shop, mesh: Mesh, name: str) -> ModelFile:
    """A model made by our own code as the file somebody would hand in."""
    if name.endswith(".3mf"):
        content = shop.mesh_writer.one_3mf(((name, mesh, (0.0, 0.0)),))
    else:
        content = shop.mesh_writer.stl(mesh)
    return ModelFile(content=content, name=name, source=MADE_HERE, licence=LICENCE)
