"""The very first page: an own shop, the demo shop, or one that is there already."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QSizePolicy

from printcrib.core.errors import ShopError
from printcrib.screens.parts import lettering
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.fields import Field, TextField
from printcrib.screens.parts.page import PageFrame, row_of
from printcrib.screens.parts.words import Words
from printcrib.screens.set_up.faults import STEPS
from printcrib.screens.set_up.shop_card import chosen_folder

SENTENCE = "How do you want to begin? Nothing rules out the others."
ANEW, ON = "Set up our shop", "Go on with the set-up"
CARD_MOST_PX = 600
DEMO, DEMO_AGAIN = "Make the demo shop", "Open the demo shop"


class StartPage(PageFrame):
    """Three ways to begin.

    Signals:
        own_wanted(), demo_wanted(), place_wanted(str)
    """

    own_wanted = Signal()
    demo_wanted = Signal()
    place_wanted = Signal(str)

    def __init__(self, *, demo_is_here: bool = False) -> None:
        self._busy = False
        super().__init__(
            "A print desk for your shop",
            SENTENCE,
            main=Action(
                "own", ANEW, lambda: self.own_wanted.emit(), None, "Ctrl+Return", lambda: not self._busy
            ),
        )
        self.demo_button = Button(DEMO_AGAIN if demo_is_here else DEMO)
        self.demo_button.clicked.connect(lambda: self.demo_wanted.emit())
        self.place_field = TextField(says="folder or address of the shop")
        self.place = Field("Folder, or address of its database", self.place_field)
        self.folder_button = Button("Choose a folder", icon="open")
        self.open_button = Button("Open this shop")
        self.folder_button.clicked.connect(self._on_folder)
        self.open_button.clicked.connect(self._on_open)
        self.place_field.returnPressed.connect(self._on_open)
        self._lay_out()

    def set_kept(self, kept: bool) -> None:
        """Whether a set-up was begun before and waits."""
        if self.main_button is not None:
            self.main_button.set_words(ON if kept else ANEW)

    def show_busy(self, busy: bool) -> None:
        """While a shop is made or opened nothing else begins; the strip has Cancel."""
        self._busy = busy
        for button in (self.demo_button, self.open_button, self.folder_button):
            button.setEnabled(not busy)
        self.place_field.setEnabled(not busy)
        self.refresh_actions()

    def show_refusal(self, error: ShopError) -> None:
        """Why a shop was not opened, beside what was typed."""
        self.place.set_error(str(error))
        self.place_field.setFocus()

    def _lay_out(self) -> None:
        own = self._card("Our own shop", "Six short steps, about ten minutes. All can be changed later.")
        steps = QGridLayout()
        steps.setHorizontalSpacing(16)
        steps.setVerticalSpacing(10)
        for number, words in enumerate(STEPS):
            steps.addWidget(Words(f"{10 * (number + 1)}", tone="second"), number, 0)
            steps.addWidget(Words(words[:1].upper() + words[1:], weight="medium"), number, 1)
        steps.setColumnStretch(1, 1)
        own.body.addLayout(steps)
        own.body.addStretch(1)
        demo = self._card(
            "Look around first",
            "A shop of our own invention: two printers, six spools, a dozen patterns and three weeks"
            " behind it. Nothing in it is real. It is made on this PC in about a minute.",
        )
        demo.body.addStretch(1)
        demo.body.addWidget(self.demo_button)
        there = self._card("Open a shop", "One that another PC set up, or that came back from a backup.")
        there.body.addStretch(1)
        there.add(self.place, self.folder_button, self.open_button)
        self.body.addLayout(row_of(own, demo, there, spacing=16, stretch=(1, 1, 1)), 1)
        self.body.addStretch(0)

    def _card(self, title: str, sentence: str) -> Card:
        card = Card(padding=20, title=title)
        card.title.set_type(lettering.CARD_PT, "strong")
        card.add(Words(sentence, tone="second", wrap=True))
        card.setMaximumHeight(CARD_MOST_PX)
        card.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
        return card

    def _on_folder(self) -> None:
        folder = chosen_folder(self, "The folder of the shop", self.place_field.text())
        if folder:
            self.place_field.setText(folder)
            self._on_open()

    def _on_open(self) -> None:
        self.place.set_error("")
        if not self.place_field.text().strip():
            self.show_refusal(ShopError("No shop is named", "Choose its folder or type its address."))
            return
        self.place_wanted.emit(self.place_field.text())
