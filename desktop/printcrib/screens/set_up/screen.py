"""The set-up of an own shop: six steps, one after the other."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QWidget

from printcrib.core.errors import ShopError
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.fields import TextField
from printcrib.screens.parts.steps import Step, StepsFrame
from printcrib.screens.set_up.alone_card import AloneCard
from printcrib.screens.set_up.faults import STEPS, Faults
from printcrib.screens.set_up.form import Form
from printcrib.screens.set_up.hours_card import HoursCard
from printcrib.screens.set_up.letters import LetterPanel
from printcrib.screens.set_up.people_card import PeopleCard
from printcrib.screens.set_up.presenter import Beginnings, Kept, SetUpPresenter
from printcrib.screens.set_up.printers_card import PrintersCard
from printcrib.screens.set_up.shop_card import ShopCard
from printcrib.screens.set_up.spools_card import SpoolsCard
from printcrib.screens.set_up.stops import bring_into_view, stops_in
from printcrib.screens.shell.messages import Messages
from printcrib.screens.shell.standing import BackgroundWork


class SetUpPage(StepsFrame):
    """Asks what a shop needs to begin, and makes it.

    Signals:
        begun_at(str): the shop is set up at this place. left(): back to the choice.
        steps_changed(int, int): the step shown and the furthest reached.
    """

    begun_at = Signal(str)
    left = Signal()
    steps_changed = Signal(int, int)

    def __init__(self, begin: Beginnings, work: BackgroundWork, messages: Messages, kept: Kept) -> None:
        self._messages = messages
        self._presenter = SetUpPresenter(begin, work, self, kept)
        self.shop = ShopCard(begin.zones)
        self.people = PeopleCard()
        self.printers = PrintersCard()
        self.spools = SpoolsCard(begin.materials)
        self.hours = HoursCard()
        self.alone = AloneCard(begin.materials)
        self._cards = (self.shop, self.people, self.printers, self.spools, self.hours, self.alone)
        self._typed_in: TextField | None = None
        super().__init__(
            "Set up our shop",
            [
                Step(words, card, 1, lambda at=number: self._presenter.may_leave(at))  # type: ignore[misc]
                for number, (words, card) in enumerate(zip(STEPS, self._cards, strict=True))
            ],
            finish=Action("make", "Begin this shop", lambda: self._presenter.make(), "done", "Ctrl+Return"),
            others=[
                Action("letters", "Letters", self._open_letters, "pencil", "Ctrl+L"),
                Action("leave", "Other ways to begin", lambda: self.left.emit(), "back", "Alt+Home"),
            ],
            always_stepped=True,
        )
        for card in self._cards:
            card.edited.connect(self._presenter.change)
        self.step_changed.connect(self._on_step)
        QApplication.instance().focusChanged.connect(self._on_focus)  # type: ignore[union-attr]
        self.show_form(self._presenter.form)
        self.go_to(self._presenter.at)

    @property
    def was_kept(self) -> bool:
        """Whether it was begun before the window was opened."""
        return self._presenter.was_kept

    def jump(self, step: int) -> None:
        """Show a step that was reached before."""
        self._presenter.jump(step)

    def work_over(self) -> None:
        """What was under way came to its end."""
        self._presenter.work_over()

    def focus_first(self) -> None:
        """Put the focus on the first field of the step shown."""
        first = next(stops_in(self._cards[self.step]), None)
        if first is not None:
            first.setFocus()

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802
        header = [self.main_button, *self.other_buttons.values()]
        stops = [*stops_in(self._cards[self.step]), *(stop for each in header for stop in stops_in(each))]
        now = QApplication.focusWidget()
        at = stops.index(now) if now in stops else -1 if forward else 0
        reason = Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
        stop = stops[(at + (1 if forward else -1)) % len(stops)]
        stop.setFocus(reason)
        bring_into_view(stop)
        return True

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        for card in self._cards:
            card.show_form(form)

    def show_faults(self, faults: Faults) -> None:
        """Say beside each field what is missing, and nothing beside the others."""
        for card in self._cards:
            card.show_faults(faults)

    def show_refusal(self, error: ShopError) -> None:
        """Why the shop was not set up; nothing filled in is lost."""
        self._messages.problem(error)

    def begun(self, place: str) -> None:
        """The shop is set up."""
        self.begun_at.emit(place)

    def _on_step(self, step: int) -> None:
        self._presenter.moved(step)
        self.other_buttons["leave"].setVisible(step == 0)
        self.steps_changed.emit(step, self._presenter.reached)
        self.focus_first()

    def _on_focus(self, _old: QWidget | None, now: QWidget | None) -> None:
        if isinstance(now, TextField) and self.isAncestorOf(now):
            self._typed_in = now

    def _open_letters(self) -> None:
        field = self._typed_in
        if field is None or not field.isVisibleTo(self):
            self._messages.say("Press the field you want to fill in, then Letters.", icon="pencil")
            return
        panel = LetterPanel(field.accessibleName(), field.text())
        panel.typed.connect(lambda text: self._typed(field, text))
        panel.open_once(self)

    def _typed(self, field: TextField, text: str) -> None:
        field.setText(text)
        field.textEdited.emit(text)
