"""The section "Where the data is": the books, their backups, and how this window looks."""

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QSizePolicy

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, Scroll, emptied
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.who_here import WhoHere
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.section import Asker, Section
from printcrib.services.look_at_settings import SettingsPage

LIGHT, DARK = "light", "dark"
MOST_LISTED = 5


class DataSection(Section):
    """Where the books are, copies of them, who stands here, and light or dark."""

    id = "data"
    words = "Where the data is"
    main_words = "Make a backup now"
    main_icon = "save"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(presenter, asker)
        self.kept: Kept | None = None
        self.facts = Scroll(spacing=0)
        books = Card(padding=16, title="The shop's books")
        books.body.addWidget(self.facts, 1)
        self.look = ChoiceRow([(LIGHT, "Light"), (DARK, "Dark")], says="How this window looks")
        window = Card(padding=16, title="This window")
        self.who = Button("", icon="person")
        self.who.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._asks_who = WhoHere(presenter.standing, lambda: self)
        self.who.clicked.connect(lambda: self._asks_who.ask())
        looks = Field("How it looks, also Ctrl+T", self.look)
        stands = Field("Who stands here, also F11", self.who)
        window.body.addLayout(row_of(stands, looks, stretch=(1, 1)))
        self.station = Words("", tone="second", wrap=True)
        window.add(self.station)
        self.column.addWidget(books, 1)
        self.column.addWidget(window)
        self.look.chosen_changed.connect(lambda look: presenter.set_dark(look == DARK))
        self._show_look()
        self._show_person()
        self.show_kept(None)

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self._show_person()

    def show_kept(self, kept: Kept | None) -> None:
        """Show where the books are and which copies there are."""
        self.kept = kept
        emptied(self.facts.body)
        for name, value in kept_facts(kept):
            self.facts.add(FactRow(name, value))
        self.facts.body.addStretch(1)
        self.station.setText(f"Presses here are signed by the station {self.presenter.standing.station}.")

    def summary(self) -> str:
        if self.kept is None:
            return ""
        return "on a server" if self.kept.on_server else "on this PC"

    def sentence(self) -> str:
        if self.kept is not None and self.kept.on_server:
            return "On a server; whoever looks after it makes the backups."
        return "A backup is a checked copy of the books; work goes on meanwhile."

    def may_main(self) -> bool:
        return self.kept is not None and not self.kept.on_server

    def do_main(self) -> None:
        self.presenter.back_up()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._show_look()

    def _show_person(self) -> None:
        name = self.presenter.standing.person.name
        self.who.set_words(name, f"who stands here: {name}")

    def _show_look(self) -> None:
        self.look.set_chosen(DARK if self.presenter.dark else LIGHT)


def kept_facts(kept: Kept | None) -> list[tuple[str, str]]:
    """Names and values on where the books are."""
    if kept is None:
        return [("Where", "not known here")]
    place = kept.place.replace("/", "/\u200b").replace("\\", "\\\u200b")  # a long one goes on below
    facts = [("Server" if kept.on_server else "Folder", place)]
    if kept.on_server:
        return [*facts, ("Backups", "made where the server stands")]
    facts += [
        ("Newest backup" if at == 0 else "", name) for at, name in enumerate(kept.backups[:MOST_LISTED])
    ]
    if not kept.backups:
        facts.append(("Backups", "none yet"))
    elif len(kept.backups) > MOST_LISTED:
        facts.append(("", f"and {len(kept.backups) - MOST_LISTED} older ones"))
    return [*facts, ("They are in the folder", "backups")]
