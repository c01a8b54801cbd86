"""The smaller questions on one aid: its other acts, why set aside, its new limit, its place, its history."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy

from printcrib.core.errors import ShopError
from printcrib.screens.aids.model import history_model
from printcrib.screens.aids.words import ASIDE_REASONS, ENDS, Offer, offers_of
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import ChoiceRow, Field, TextField
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.tokens import FAR_GAP_PX, GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_aid import AidPage, HistoryLine

Now = Callable[[], datetime]


class MorePanel(AskPanel):
    """What else can be done with an aid; the ways out of service stand apart.

    Signals:
        asked(str): the act's id; the sheet is gone by then.
    """

    asked = Signal(str)

    def __init__(self, page: AidPage, now: Now) -> None:
        super().__init__(f"{page.row.tag} {page.row.name}", sentence=page.row.where, width=860)
        self.buttons: dict[str, Button] = {}
        self._grid(offers_of(page), 2)
        self.body.addSpacing(FAR_GAP_PX - 2 * GAP_PX)
        self.body.addWidget(Words("Out of service, because it is", tone="second"))
        self._grid(ENDS, 3)
        self.really_at = ReallyAt(now)
        self.body.addWidget(self.really_at, 0, Qt.AlignmentFlag.AlignLeft)

    def _grid(self, offers: Sequence[Offer], columns: int) -> None:
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        for index, offer in enumerate(offers):
            button = Button(offer.words, icon=offer.icon or None)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, act=offer.act: self._on_pressed(act))
            self.buttons[offer.act] = button
            grid.addWidget(button, index // columns, index % columns)
        self.body.addLayout(grid)

    def _on_pressed(self, act: str) -> None:
        self.lay_down()
        self.asked.emit(act)


class AsidePanel(AskPanel):
    """Why an aid is not to be used until somebody checked it.

    Signals:
        told(str): the reason.
    """

    told = Signal(str)

    def __init__(self, page: AidPage, now: Now) -> None:
        super().__init__(
            f"Set {page.row.tag} aside",
            confirm="Set aside",
            icon="caution",
            sentence=f"{page.row.name} is not used until the desk or a reviewer checked it.",
            width=820,
            stays=True,
        )
        quick = [(words, words) for words in ASIDE_REASONS]
        self.quick = ChoiceRow(quick, columns=3, says="what is wrong")
        self.why = TextField(says="what is wrong with it", example="Chipped at the stop face")
        self.why_field = Field("What is wrong with it", self.why)
        self.really_at = ReallyAt(now)
        self.body.addWidget(self.quick)
        self.body.addWidget(self.why_field)
        self.body.addWidget(self.really_at, 0, Qt.AlignmentFlag.AlignLeft)
        self.quick.chosen_changed.connect(self.why.setText)
        self.why.textEdited.connect(lambda _text: self.quick.set_chosen(None))
        self.confirmed.connect(lambda: self.told.emit(self.why.text()))

    def refuse(self, error: ShopError) -> None:
        """Say at the field what is missing."""
        self.why_field.set_error(str(error))


class ShelfPanel(AskPanel):
    """An aid comes off its machine; where it lies may be said.

    Signals:
        told(str): the place, "" for the usual one.
    """

    told = Signal(str)

    def __init__(self, page: AidPage, now: Now) -> None:
        super().__init__(
            f"{page.row.tag} goes back to the shelf",
            confirm="Put it there",
            icon="back",
            sentence=f"{page.row.name}, its count stays.",
            stays=True,
        )
        self.place = TextField(page.aid.place, says="place on the shelf", example="B2")
        self.really_at = ReallyAt(now)
        self.body.addWidget(Field("Place (may be left out)", self.place))
        self.body.addWidget(self.really_at, 0, Qt.AlignmentFlag.AlignLeft)
        self.confirmed.connect(lambda: self.told.emit(self.place.text()))

    def focus_first(self) -> None:
        self.confirm_button.setFocus(Qt.FocusReason.OtherFocusReason)


class ThisOnePanel(AskPanel):
    """An open request for the same size and machine names no aid: is it the next one of this aid?

    Signals:
        told(bool): yes or no.
    """

    told = Signal(bool)

    def __init__(self, page: AidPage) -> None:
        super().__init__(
            f"Is {page.maybe_tag} the next one of {page.row.tag}?",
            sentence=f"Somebody asks for a {page.row.name} on {page.row.where} and names no aid.",
            stays=True,
        )
        self.yes_button = Button(f"Yes, {page.maybe_tag} takes its place", icon="done")
        self.no_button = Button("No, print one more", icon="plus")
        self.see_button = Button(f"See {page.maybe_tag}", icon="forward")
        for button in (self.yes_button, self.no_button, self.see_button):
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.body.addWidget(button)
        self.yes_button.clicked.connect(lambda: self.told.emit(True))
        self.no_button.clicked.connect(lambda: self.told.emit(False))


class HistoryPanel(AskPanel):
    """What happened to an aid, newest first."""

    def __init__(self, page: AidPage) -> None:
        super().__init__(f"{page.row.tag} {page.row.name}", width=860)
        self.table: RecordTable[HistoryLine] = RecordTable(
            history_model(), says="history", row_px=48, empty="Nothing happened to it yet."
        )
        self.table.set_records(page.history)
        self.table.setMinimumHeight(360)
        self.body.addWidget(self.table, 1)
