"""What is done at the window again and again, with the keyboard alone."""

from tests.stories.hands import Keyboard
from tests.stories.station import Station

from printcrib.core.requests import CopyState, Request
from printcrib.core.runs import Run


class AtTheWindow:
    """Short ways through the window for a story, hour by hour."""

    def __init__(self, station: Station) -> None:
        self.station, self.crib, self.shop = station, station.crib, station.crib.shop
        self.hands = Keyboard(station)

    def tell(self, field: str, digits: str) -> None:
        """Type a number on the keypad behind a field."""
        self.hands.press(field)
        self.hands.number(digits)
        self.hands.press("Take this number")

    def started(self, request: Request) -> Run:
        """The run its copies stand on is started as planned, at the printer's row."""
        run = self.crib.run_of(next(c for c in self.crib.copies(request) if c.state is CopyState.ON_RUN))
        with self.shop.read() as uow:
            printer = uow.printers.get(run.printer_id)
        self.hands.go("desk")
        self.hands.press(f"{printer.name}, nozzle")
        self.hands.press(f"Start run {run.number}")
        self.hands.press(f"Start run {run.number}")  # with what the sheet says is on the printer
        assert self.station.said.startswith(f"Run {run.number} started on {printer.name}"), self.station.said
        return self.crib.run(run.id)

    def off(self, run: Run) -> None:
        """All good, in one press on the desk's card; the card first turns to the printer where need be."""
        self.hands.go("desk")
        if f"Take off run {run.number}" not in self.station.words_there():
            with self.shop.read() as uow:
                printer = uow.printers.get(run.printer_id)
            self.hands.press(f"{printer.name}, nozzle")
            self.hands.press("Do next here")
        self.hands.press(f"Take off run {run.number}")
        assert f"Run {run.number} taken off" in self.station.said
        assert ", 0 failed" in self.station.said

    def hand_out(self, tag: str, machine: str) -> None:
        """Hand a ready copy out from the desk's list of what lies off the printers."""
        self.hands.go("desk")
        self.hands.press("ready, see to them")
        self.hands.press(f"{tag}: Hand out to {machine}")
        self.hands.press("Back")

    def request_page(self, tag: str) -> None:
        """Open one request from the list."""
        self.hands.go("requests")
        if "Back" in self.station.words_there():
            self.hands.press("Back")
        self.hands.choose(tag)
        self.hands.open()

    def stands_here(self, name: str) -> None:
        """Somebody else stands before the station."""
        self.hands.somebody_else()
        self.hands.choose(name)
        self.hands.press("I stand here")

    def really_at(self, *steps: str) -> None:
        """It was not done now but so many steps before."""
        self.hands.press("When it was really done: now")
        for step in steps:
            self.hands.press(step)
        self.hands.press("Really at")
