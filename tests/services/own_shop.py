"""A small shop set up by the service itself, and short ways of asking in it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from tests.services.fake import TUESDAY_MORNING

from printcrib.core.materials import Material
from printcrib.core.patterns import Pattern, Size
from printcrib.core.people import Role
from printcrib.core.printers import Printer
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Copy, Hold, Request
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.edit_patterns import add_pattern, add_size
from printcrib.services.edit_people import NewPerson
from printcrib.services.interfaces import Shop, Where, is_
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile
from printcrib.services.set_up_shop import NewPrinter, NewSpool, SetUp, SetUpDone, set_up_shop
from printcrib.services.take_request import NewRequest, raise_request

TOMORROW = TUESDAY_MORNING + timedelta(days=1)
BOX = ModelFile(content=b"box 40 30 20", name="box.stl")
TALL = ModelFile(content=b"box 20 20 300", name="tall.stl")

PLA = Material(name="PLA", density=1.24, keep_below_c=45, price_per_kg_thousandths=20_000)
PETG = Material(name="PETG", density=1.27, keep_below_c=60)
GLASS = Material(name="PA + 30 % glass", density=1.39, abrasive=True)


class PlainHasher:
    """Keeps PINs readable, so that tests need not wait for a slow hash."""

    def hash(self, pin: str) -> str:
        """The PIN with a mark."""
        return f"hash of {pin}"

    def verify(self, stored: str, pin: str) -> bool:
        """Whether it is that PIN."""
        return stored == self.hash(pin)


@dataclass(frozen=True)
class Own:
    """The shop with its people and what they ask with."""

    shop: Shop
    made: SetUpDone

    def who(self, name: str) -> int:
        """Key of a person."""
        return self.made.people[name].id

    def press(self, name: str = "Dora", happened_at: datetime | None = None) -> Press:
        """A press by somebody; Dora is the desk."""
        who_id = THE_TOOL if name == "the tool" else self.who(name)
        return Press(who_id=who_id, happened_at=happened_at)

    def material(self, name: str = "PLA") -> int:
        """Key of a material."""
        return self.made.materials[name].id

    def printer(self, name: str = "Left") -> Printer:
        """A printer as it is now."""
        with self.shop.read() as uow:
            return uow.printers.get(self.made.printers[name].id)

    def request(self, request_id: int) -> Request:
        """A request as it is now."""
        with self.shop.read() as uow:
            return uow.requests.get(request_id)

    def copies(self, request_id: int) -> tuple[Copy, ...]:
        """Copies of a request, by ordinal."""
        with self.shop.read() as uow:
            return uow.copies.find(is_("request_id", request_id), order_by="ordinal")

    def holds(self, request_id: int) -> tuple[Hold, ...]:
        """What holds a request now."""
        with self.shop.read() as uow:
            return uow.holds.find(is_("request_id", request_id), Where("closed_at", "is none"))

    def hold_words(self, request_id: int) -> list[str]:
        """Kinds of the open holds."""
        return [hold.kind.value for hold in self.holds(request_id)]

    def pattern(self, name: str = "spindle stop", **fields: object) -> Pattern:
        """A pattern in the book."""
        new = Pattern(number=0, name=name, **fields)  # type: ignore[arg-type]
        return add_pattern(self.shop, self.press(), new).value

    def size(self, pattern: Pattern, name: str = "32 x 60", file: ModelFile | None = BOX) -> Size:
        """A size of a pattern, with its model."""
        return add_size(self.shop, self.press(), Size(pattern_id=pattern.id, name=name), file).value

    def ask(self, who: str = "Max", **fields: object) -> Request:
        """A raised request by somebody; Max is a machinist."""
        told: dict[str, object] = {"file": BOX, "needed_by": TOMORROW, **fields}
        return raise_request(self.shop, self.press(who), NewRequest(**told)).value  # type: ignore[arg-type]


def own_shop(shop: Shop) -> Own:
    """Two printers, three bores, three people and a lead, open Monday to Friday 07:00 to 16:00."""
    set_up = SetUp(
        settings=ShopSettings(name="Own shop"),
        people=(
            NewPerson(name="Lea", roles=(Role.LEAD,), pin="1234"),
            NewPerson(name="Dora", roles=(Role.DESK,), badge="B7"),
            NewPerson(name="Max"),
            NewPerson(name="Rita", roles=(Role.REVIEWER,)),
            NewPerson(name="Otto"),
        ),
        materials=(PLA, PETG, GLASS),
        printers=(
            NewPrinter(name="Left", nozzles=((400, False), (600, True)), rate_thousandths=2000),
            NewPrinter(name="Right", platform_mm=(300.0, 300.0), height_mm=350.0, materials=("PLA",)),
        ),
        nozzles=((800, False),),
        spools=(
            NewSpool(material="PLA", colour="grey", on_printer="Left"),
            NewSpool(material="PLA", colour="grey", left_mg=400_000, tare_mg=200_000),
            NewSpool(material="PETG", colour="black", sealed=True),
        ),
        shifts=tuple(Shift(weekday=day, opens="07:00", closes="16:00") for day in range(5)),
        machines=("Lathe 1", "Mill 2"),
        unattended=(("Left", "PLA"),),
    )
    return Own(shop, set_up_shop(shop, Press(who_id=THE_TOOL), set_up, PlainHasher()).value)
