"""Ways to begin that need no disk, and a filled-in form."""

from dataclasses import dataclass, field

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.people import Role
from printcrib.screens.set_up.form import Form, PersonRow, PrinterRow, SpoolRow
from printcrib.screens.set_up.presenter import Beginnings
from printcrib.services.set_up_shop import SetUp

PLA = Material(name="PLA", density=1.24)
PETG = Material(name="PETG", density=1.27)
CARBON = Material(name="PA + short carbon", density=1.2, abrasive=True)
TAKEN = "/shops/taken"


@dataclass
class Made:
    """Remembers what was made; `refusal` is raised instead."""

    shops: dict[str, SetUp] = field(default_factory=dict)
    demos: int = 0
    refusal: ShopError | None = None

    def demo(self) -> str:
        self._refuse()
        self.demos += 1
        return "/shops/demo"

    def own(self, place: str, set_up: SetUp) -> str:
        self._refuse()
        self.shops[place] = set_up
        return place

    def existing(self, place: str) -> str:
        self._refuse()
        return place

    def _refuse(self) -> None:
        if self.refusal is not None:
            raise self.refusal

    def beginnings(self, *, demo_is_here: bool = False) -> Beginnings:
        """The ways to begin."""
        return Beginnings(
            make_demo=self.demo,
            make_own=self.own,
            open_existing=self.existing,
            place_fault=lambda place: "There is a shop already." if place == TAKEN else "",
            materials=(PLA, PETG, CARBON),
            zones=("America/New_York", "Europe/Berlin", "Europe/Vienna"),
            zone="Europe/Vienna",
            place="/shops/new",
            demo_is_here=demo_is_here,
        )


@dataclass
class KeptWords:
    """What is remembered over a restart, in memory."""

    words: dict[str, str] = field(default_factory=dict)

    def text(self, key: str, otherwise: str = "") -> str:
        return self.words.get(key, otherwise)

    def put(self, key: str, text: str) -> None:
        self.words[key] = text


@pytest.fixture
def made() -> Made:
    """Remembers what was made."""
    return Made()


@pytest.fixture
def kept() -> KeptWords:
    """An empty memory."""
    return KeptWords()


@pytest.fixture
def filled() -> Form:
    """A shop with two printers and two spools, one of them on South."""
    return Form(
        name=" Miller Tooling ",
        zone="Europe/Berlin",
        place="/shops/miller",
        machines="Lathe 1, Mill 1,, Lathe 1 ",
        people=(
            PersonRow(name="Karl", roles=(Role.LEAD.value,)),
            PersonRow(name=" Petra", roles=(Role.REVIEWER.value, Role.MACHINIST.value)),
        ),
        printers=(
            PrinterRow(name="North"),
            PrinterRow(name="South", bores_um=(600, 400), hardened_um=(600,), fitted_um=600, height_mm=330),
        ),
        spools=(
            SpoolRow(material="PETG", colour="grey", left_g=640, on_printer=1),
            SpoolRow(material="PLA", sealed=True),
        ),
        alone="yes",
        alone_on=((1, "PETG"), (0, "PA + short carbon"), (7, "PLA")),
    )
