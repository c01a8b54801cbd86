"""The questions of the rack: what the scale shows, what came in, where a spool goes."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QSizePolicy

from printcrib.core.errors import ShopError
from printcrib.core.units import grams_words, money_thousandths
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.numbers import KeypadPanel, Stepper
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.spool_rack.presenter import RackChoices
from printcrib.services.look_at_spools import SpoolRow
from printcrib.services.receive_spool import NewSpool
from printcrib.services.weigh_spool import Weighed

USUAL_HOURS = 4
"""Drying where the materials table says nothing; common practice, no source."""


class WeighPanel(KeypadPanel):
    """What the scale shows with the reel, typed on a keypad.

    Args:
        now: the shop's wall time, for "really at".
    """

    def __init__(self, row: SpoolRow, now: Callable[[], datetime]) -> None:
        tare = row.spool.tare_mg
        if tare is None:
            reel = "Nobody weighed its empty reel yet."
        else:
            guess = ", a guess" if row.spool.tare_guessed else ""
            reel = f"The empty reel is {grams_words(tare)}{guess}."
        super().__init__(
            f"What does the scale show for {row.spool.tag}?",
            "g",
            confirm="Weigh it",
            sentence=f"{row.words}, with its reel. {reel}",
        )
        self._stays = True
        self.really_at = ReallyAt(now)
        self.body.addWidget(self.really_at)


class ScalePanel(AskPanel):
    """The scale is too far from the books: nothing was booked, somebody has to look.

    Signals:
        scale_is_right(), other_spool(), reel_weighs(object): grams of the empty reel.
    """

    scale_is_right = Signal()
    other_spool = Signal()
    reel_weighs = Signal(object)

    def __init__(self, row: SpoolRow, weighed: Weighed) -> None:
        super().__init__(
            f"Is this really {row.spool.tag}, {row.words}?", sentence=weighed.question, width=820, stays=True
        )
        other = Button("It was another spool")
        reel = Button("Weigh the empty reel")
        right = Button("The scale is right")
        other.clicked.connect(lambda: self.other_spool.emit())
        reel.clicked.connect(self._on_reel)
        right.clicked.connect(lambda: self.scale_is_right.emit())
        for button in (other, reel, right):
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.body.addWidget(button)

    def _on_reel(self) -> None:
        keypad = KeypadPanel("What does the empty reel weigh?", "g", confirm="Take this weight")
        keypad.entered.connect(lambda grams: self.reel_weighs.emit(grams))
        keypad.open_once(self)


class ReceivePanel(AskPanel):
    """What came in: material and colour are enough, the rest may be left out.

    Signals:
        told(object): the NewSpool.
    """

    told = Signal(object)

    def __init__(self, choices: RackChoices) -> None:
        super().__init__("A spool came in", confirm="Receive it", icon="plus", width=900, stays=True)
        picks = [Pick(str(each.id), each.name) for each in choices.materials]
        self.material = PickField(says="Material", picks=picks, chosen=picks[0].id if picks else "")
        self.colour = TextField(says="Colour", example="grey")
        self.net = Stepper(1000, least=50, most=10_000, step=50, unit="g", says="Filament by the label")
        self.bag = ChoiceRow([("sealed", "Sealed in its bag"), ("open", "Open")], chosen="sealed", says="Bag")
        self.lot = TextField(says="Lot")
        self.place = TextField(says="Place on the rack", example="shelf 1")
        self.tare = Stepper(0, least=0, most=1000, step=5, unit="g", says="Empty reel, 0 if not known")
        self.price = TextField(says="What it cost", example="24.90")
        self.colour_field = Field("Colour", self.colour)
        self.price_field = Field("What it cost (may be left out)", self.price)
        for row in (
            row_of(Field("Material", self.material), self.colour_field, stretch=(1, 1)),
            row_of(Field("Filament by the label", self.net), Field("Bag", self.bag), stretch=(1, 1)),
            row_of(Field("Lot", self.lot), Field("Place on the rack", self.place), stretch=(1, 1)),
            row_of(Field("Empty reel, 0 if not known", self.tare), self.price_field, stretch=(1, 1)),
        ):
            self.body.addLayout(row)
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        typed = self.price.text().strip()
        try:
            price = money_thousandths(typed) if typed else None
        except ShopError as error:
            self.price_field.set_error(str(error))
            return
        self.price_field.set_error("")
        self.told.emit(
            NewSpool(
                material_id=int(self.material.chosen or 0),
                colour=self.colour.text().strip(),
                net_mg=self.net.value * 1000,
                lot=self.lot.text().strip(),
                tare_mg=self.tare.value * 1000 or None,
                tare_guessed=not self.tare.value,
                price_thousandths=price,
                place=self.place.text().strip(),
                sealed=self.bag.chosen == "sealed",
            )
        )


class WherePanel(AskPanel):
    """Where a spool goes, and what else can be said of it.

    Signals:
        to_printer(object), to_rack(str), to_dryer(hours), opened(), damp(bool), thrown_away().
    """

    to_printer = Signal(object)
    to_rack = Signal(str)
    to_dryer = Signal(int)
    opened = Signal()
    damp = Signal(bool)
    thrown_away = Signal()

    def __init__(self, row: SpoolRow, choices: RackChoices) -> None:
        super().__init__(
            f"Where does {row.spool.tag} go?",
            sentence=f"{row.words}, {row.place} now.",
            width=820,
            stays=True,
        )
        for printer in choices.printers:
            button = self._offer(f"On {printer.name}", "printer")
            button.setEnabled(row.printer_id != printer.id)
            button.clicked.connect(lambda _down=False, one=printer: self.to_printer.emit(one))
        self.place = TextField(row.spool.place, says="Place on the rack", example="shelf 1")
        rack = self._offer("On the rack", "spool_rack")
        rack.clicked.connect(lambda: self.to_rack.emit(self.place.text()))
        self.body.addWidget(Field("Place on the rack", self.place))
        self.hours = Stepper(
            _drying_hours(row, choices), least=1, most=48, step=1, unit="h", says="How long it dries"
        )
        self.body.addWidget(Field("How long it dries", self.hours))
        self._offer("Into the dryer", "drying").clicked.connect(lambda: self.to_dryer.emit(self.hours.value))
        sealed = self._offer("Open its bag", "open")
        sealed.setVisible(row.spool.state.value == "sealed")
        sealed.clicked.connect(lambda: self.opened.emit())
        damp = self._offer("It is dry after all" if row.spool.damp else "It is damp", "caution")
        damp.clicked.connect(lambda: self.damp.emit(not row.spool.damp))
        self.body.addSpacing(16)
        self._offer("Throw it away", "close").clicked.connect(lambda: self.thrown_away.emit())

    def _offer(self, words: str, icon: str) -> Button:
        button = Button(words, icon=icon)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.body.addWidget(button)
        return button


def _drying_hours(row: SpoolRow, choices: RackChoices) -> int:
    """What its material needs by the table, else the usual."""
    told = {each.id: each.drying_hours for each in choices.materials}.get(row.spool.material_id)
    return round(told) if told else USUAL_HOURS
