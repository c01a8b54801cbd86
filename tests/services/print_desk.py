"""A small print desk for tests: two printers, nozzles, spools, people, and requests ready to be planned."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from tests.services.fake import FakeClock

from printcrib.core.materials import Material, Source, Spool, SpoolEntry, SpoolEntryKind, SpoolState
from printcrib.core.patterns import Estimate, Fineness, Model, Pattern, Size
from printcrib.core.people import Person, Role
from printcrib.core.printers import Nozzle, Printer, Unattended
from printcrib.core.requests import Copy, CopyState, Hold, HoldKind, Purpose, Request, RequestState
from printcrib.core.runs import Run
from printcrib.core.shop import Shift, ShopSettings
from printcrib.services.interfaces import Shop, is_
from printcrib.services.press import Press

MINUTES = {400: 100.0, 600: 60.0}


@dataclass
class PrintDesk:
    """Keys of what stands in the shop, and short ways to ask for things."""

    shop: Shop
    clock: FakeClock
    ann: int = 0
    north: int = 0
    south: int = 0
    pla: int = 0
    asa: int = 0
    carbon: int = 0
    nozzles: dict[str, int] = field(default_factory=dict)
    spools: dict[str, int] = field(default_factory=dict)
    one_off: int = 0

    def press(self, at: datetime | None = None) -> Press:
        """A press by Ann at the desk."""
        return Press(who_id=self.ann, happened_at=at)

    def now(self) -> datetime:
        """The time on the wall."""
        return self.clock.now()

    def later(self, hours: float) -> datetime:
        """So many hours from now."""
        return self.now() + timedelta(hours=hours)

    def ask(
        self,
        quantity: int = 1,
        *,
        material: str = "pla",
        colour: str = "grey",
        hours: float | None = 8.0,
        minutes: dict[int, float] | None = None,
        part_mg: int = 20_000,
        size_mm: tuple[float, float, float] = (40.0, 40.0, 20.0),
        steps: tuple[str, ...] = (),
        answers: tuple[int, ...] | None = (),
        printers: tuple[int, ...] = (),
        how_fine: Fineness = Fineness.NORMAL,
        purpose: Purpose = Purpose.FOR_USE,
        **more: object,
    ) -> Request:
        """An accepted request with its copies wanted and its model estimated on every printer."""
        sha = self.shop.files.put(b"box %d %d %d" % tuple(int(edge) for edge in size_mm), "stl")
        with self.shop.write(self.press(), "ask") as uow:
            pattern = uow.patterns.add(
                Pattern(number=uow.next_number("pattern"), name="collet tray", finishing_steps=steps)
            )
            size = uow.sizes.add(Size(pattern_id=pattern.id, name="ER32"))
            model = uow.models.add(
                Model(
                    size_id=size.id,
                    revision="A",
                    sha256=sha,
                    file_name="tray.stl",
                    file_kind="stl",
                    extents_mm=size_mm,
                )
            )
            size = uow.sizes.save(replace(size, model_id=model.id))
            material_id = getattr(self, material)
            for printer in printers or (self.north, self.south):
                for bore, part in (minutes or MINUTES).items():
                    uow.estimates.add(estimate(model.id, printer, bore, material_id, part, part_mg))
            request = Request(
                number=uow.next_number("request"),
                asker_id=self.ann,
                entered_by_id=self.ann,
                size_id=size.id,
                material_id=material_id,
                colour=colour,
                how_fine=how_fine,
                purpose=purpose,
                quantity=quantity,
                needed_by=None if hours is None else self.later(hours),
                safety_answers=answers,
                state=RequestState.ACCEPTED,
            )
            request = uow.requests.add(replace(request, **more))  # type: ignore[arg-type]
            for ordinal in range(1, quantity + 1):
                uow.copies.add(Copy(request_id=request.id, ordinal=ordinal, size_id=size.id))
            uow.commit()
            return request

    def hold(self, request_id: int, kind: HoldKind) -> Hold:
        """Hold a request."""
        with self.shop.write(self.press(), "hold") as uow:
            hold = uow.holds.add(Hold(request_id=request_id, kind=kind))
            uow.commit()
            return hold

    def copies(self, request_id: int) -> tuple[Copy, ...]:
        """All copies of a request as they are now."""
        with self.shop.read() as uow:
            return uow.copies.find(is_("request_id", request_id))

    def states(self, request_id: int) -> list[CopyState]:
        """How far its copies are."""
        return [copy.state for copy in self.copies(request_id)]

    def run(self, run_id: int) -> Run:
        """A run as it is now."""
        with self.shop.read() as uow:
            return uow.runs.get(run_id)

    def runs(self, *states: str) -> list[Run]:
        """The runs in some states."""
        with self.shop.read() as uow:
            return [run for run in uow.runs.find() if not states or run.state in states]

    def entries(self, spool_id: int) -> list[tuple[str, int]]:
        """What was booked on a spool, oldest first."""
        with self.shop.read() as uow:
            return [(e.kind.value, e.mg) for e in uow.spool_entries.find(is_("spool_id", spool_id))]

    def change(self, table: str, key: int, **values: object) -> None:
        """Change a record outside of any use case."""
        with self.shop.write(self.press(), "change") as uow:
            records = getattr(uow, table)
            records.save(replace(records.get(key), **values))
            uow.commit()


def estimate(
    model: int, printer: int, bore: int, material: int, part_minutes: float, part_mg: int
) -> Estimate:
    """An estimate with a start of 8 minutes and 1 g, at most a quarter more."""
    return Estimate(
        model_id=model,
        printer_id=printer,
        bore_um=bore,
        material_id=material,
        settings_hash="typical",
        part_minutes=part_minutes,
        start_minutes=8.0,
        likely_minutes=part_minutes + 8.0,
        at_most_minutes=part_minutes * 1.25 + 8.0,
        part_mg=part_mg,
        mg=part_mg + 1000,
        layers=100,
    )


def furnish(shop: Shop, clock: FakeClock, *, unattended: bool = True) -> PrintDesk:
    """A shop in Vienna, in from 07:00 to 17:00, North with 0.4 and PLA grey, South with 0.6 and ASA black."""
    desk = PrintDesk(shop, clock)
    with shop.write(Press(who_id=0), "set up") as uow:
        desk.ann = uow.people.add(Person(name="Ann", roles=(Role.DESK, Role.LEAD))).id
        uow.settings.add(ShopSettings(name="The shop"))
        for weekday in range(5):
            uow.shifts.add(Shift(weekday=weekday, opens="07:00", closes="17:00"))
        desk.pla = uow.materials.add(Material(name="PLA", density=1.24, price_per_kg_thousandths=25_000)).id
        desk.asa = uow.materials.add(Material(name="ASA", density=1.07)).id
        desk.carbon = uow.materials.add(Material(name="PA carbon", density=1.2, abrasive=True)).id
        for name, bore, hard in (("4", 400, False), ("6", 600, False), ("6n", 600, False), ("6h", 600, True)):
            nozzle = Nozzle(number=uow.next_number("nozzle"), bore_um=bore, hardened=hard)
            desk.nozzles[name] = uow.nozzles.add(nozzle).id
        for name, material, colour, mg in (
            ("grey", desk.pla, "grey", 800_000),
            ("grey2", desk.pla, "grey", 300_000),
            ("black", desk.asa, "black", 900_000),
            ("carbon", desk.carbon, "black", 500_000),
        ):
            spool = Spool(number=uow.next_number("spool"), material_id=material, colour=colour, nominal_mg=mg)
            spool = uow.spools.add(replace(spool, tare_mg=220_000, tare_guessed=False))
            desk.spools[name] = spool.id
            kind = SpoolEntryKind.RECEIVED
            uow.spool_entries.add(
                SpoolEntry(spool_id=spool.id, kind=kind, mg=mg, who_id=desk.ann, source=Source.WEIGHED)
            )
        for name, nozzle_name, spool_name in (("North", "4", "grey"), ("South", "6", "black")):
            spool = uow.spools.get(desk.spools[spool_name])
            uow.spools.save(replace(spool, state=SpoolState.ON_PRINTER))
            printer = Printer(
                name=name, fitted_nozzle_id=desk.nozzles[nozzle_name], mounted_spool_id=spool.id
            )
            setattr(desk, name.lower(), uow.printers.add(printer).id)
        for printer_id in (desk.north, desk.south):
            for material_id in (desk.pla, desk.asa, desk.carbon):
                uow.unattended.add(
                    Unattended(
                        printer_id=printer_id,
                        material_id=material_id,
                        allowed=unattended,
                        answered_by_id=desk.ann,
                    )
                )
        uow.commit()
    return desk
