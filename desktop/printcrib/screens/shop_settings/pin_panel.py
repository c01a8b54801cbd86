"""A new PIN, typed twice."""

from PySide6.QtCore import Signal

from printcrib.screens.parts.pin_pad import PinPanel
from printcrib.services.edit_people import LONGEST_PIN, SHORTEST_PIN

PIN_LIMITS = f"{SHORTEST_PIN} to {LONGEST_PIN} digits."


class NewPinPanel(PinPanel):
    """A new PIN for somebody; it is asked for twice, since nobody sees what is typed.

    Signals:
        told(str): the PIN, typed twice alike.
    """

    told = Signal(str)

    def __init__(self, name: str) -> None:
        super().__init__(
            f"A PIN for {name}", confirm="Go on", sentence=f"{PIN_LIMITS} Nobody can read it later."
        )
        self._name, self._first = name, ""
        self.given.connect(self._on_given)

    def _on_given(self, pin: str) -> None:
        if not SHORTEST_PIN <= len(pin) <= LONGEST_PIN:
            self.refuse(f"Give {PIN_LIMITS}")
        elif not self._first:
            self._first = pin
            self.ask_again(f"The same PIN for {self._name} again", "Set the PIN")
        elif pin == self._first:
            self.told.emit(pin)
        else:
            self._first = ""
            self.ask_again(f"A PIN for {self._name}", "Go on")
            self.set_error("The two were not the same. Type the PIN twice again.")
