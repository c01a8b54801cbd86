"""The shop of the stories: set up on a real disk by the services, with a clock that is set by hand."""

from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path

from tests.services.own_shop import PETG, PLA, PlainHasher

from printcrib.app.clock import SetClock
from printcrib.app.wiring import Wired, open_shop
from printcrib.core.aids import Aid
from printcrib.core.calendar import wall_time_utc
from printcrib.core.people import Role
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Copy, Hold, Request
from printcrib.core.runs import Run
from printcrib.core.shapes import Mesh
from printcrib.core.shop import Shift, ShopSettings
from printcrib.meshes.writer import write_stl
from printcrib.services.edit_people import NewPerson
from printcrib.services.interfaces import Shop, Where, is_
from printcrib.services.press import Press
from printcrib.services.read_model import ModelFile
from printcrib.services.set_up_shop import NewPrinter, NewSpool, SetUp, SetUpDone, set_up_shop

ZONE = "Europe/Vienna"


def wall(day: str, clock: str) -> datetime:
    """A wall time of the shop in UTC: wall("2026-11-24", "07:00")."""
    return wall_time_utc(date.fromisoformat(day), time.fromisoformat(clock), ZONE)


@dataclass(frozen=True)
class Crib:
    """The shop with short ways to press and to look.

    Attributes:
        place: the folder of its books. made: keys by the names of set-up.
    """

    place: Path
    wired: Wired
    clock: SetClock
    made: SetUpDone

    @property
    def shop(self) -> Shop:
        """What the use cases get."""
        return self.wired.shop

    def press(self, name: str, *, really_at: datetime | None = None) -> Press:
        """A press by somebody now, of something done then."""
        return Press(who_id=self.made.people[name].id, station="crib", happened_at=really_at)

    def material(self, name: str) -> int:
        """Key of a material."""
        return self.made.materials[name].id

    def printer(self, name: str) -> int:
        """Key of a printer."""
        return self.made.printers[name].id

    def machine(self, name: str) -> int:
        """Key of a machine."""
        return self.made.machines[name]

    def request(self, number: int) -> Request:
        """The request with this number, as it is now."""
        with self.shop.read() as uow:
            found = uow.requests.one(is_("number", number))
        assert found is not None, f"there is no R {number}"
        return found

    def copies(self, request: Request) -> tuple[Copy, ...]:
        """Its copies as they are now, by ordinal."""
        with self.shop.read() as uow:
            return uow.copies.find(is_("request_id", request.id), order_by="ordinal")

    def holds(self, request: Request) -> tuple[Hold, ...]:
        """What holds it now."""
        with self.shop.read() as uow:
            return uow.holds.find(is_("request_id", request.id), Where("closed_at", "is none"))

    def run(self, run_id: int | None) -> Run:
        """A run as it is now."""
        with self.shop.read() as uow:
            return uow.runs.get(run_id or 0)

    def run_of(self, copy: Copy) -> Run:
        """The run a copy stands on."""
        assert copy.run_id is not None, f"copy {copy.ordinal} is on no run"
        return self.run(copy.run_id)

    def aid(self, aid_id: int | None) -> Aid:
        """An aid as it is now."""
        with self.shop.read() as uow:
            return uow.aids.get(aid_id or 0)

    def close(self) -> None:
        """Let the books go."""
        self.wired.close()


def model_file(mesh: Mesh, name: str) -> ModelFile:
    """A model as somebody hands it in."""
    return ModelFile(content=write_stl(mesh), name=name)


def begin_crib(place: Path, now: datetime) -> Crib:
    """Two printers, five people, open from Monday to Friday, 07:00 to 16:00; Left may run alone with PLA."""
    clock = SetClock(now)
    wired = open_shop(place, clock=clock, create=True)
    told = SetUp(
        settings=ShopSettings(name="The crib", zone=ZONE),
        people=(
            NewPerson(name="Lea", roles=(Role.LEAD,)),
            NewPerson(name="Dora", roles=(Role.DESK,)),
            NewPerson(name="Max"),
            NewPerson(name="Rita", roles=(Role.REVIEWER,)),
            NewPerson(name="Otto"),
        ),
        materials=(PLA, PETG),
        printers=(
            NewPrinter(name="Left", nozzles=((400, False), (600, False))),
            NewPrinter(name="Right", nozzles=((400, False), (600, False)), fitted=1),
        ),
        spools=(
            NewSpool(material="PLA", colour="grey", on_printer="Left"),
            NewSpool(material="PLA", colour="grey", on_printer="Right"),
            NewSpool(material="PETG", colour="black"),
        ),
        shifts=tuple(Shift(weekday=day, opens="07:00", closes="16:00") for day in range(5)),
        machines=("Lathe 1", "Mill 2"),
        unattended=(("Left", "PLA"),),
    )
    made = set_up_shop(wired.shop, Press(who_id=THE_TOOL, station="set-up"), told, PlainHasher()).value
    return Crib(place, wired, clock, made)
