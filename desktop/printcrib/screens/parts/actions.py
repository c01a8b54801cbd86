"""What can be done on a page, declared once: words, icon, shortcut, when, and the call."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QWidget

from printcrib.screens.parts.buttons import Button, Kind

MAIN_KEYS = "Ctrl+Return"
"""The same keys on every page, so that a second press of them may come to another page."""


def _always() -> bool:
    return True


@dataclass(frozen=True)
class Action:
    """One thing a person can do on a page.

    Attributes:
        id: short name, unique on the page.
        words: what the button says; a verb.
        call: what happens.
        icon: a name of icons.py, or None.
        shortcut: key sequence in words, such as "Ctrl+N"; empty for none.
        enabled_when: asked whenever the page refreshes its actions.
    """

    id: str
    words: str
    call: Callable[[], None]
    icon: str | None = None
    shortcut: str = ""
    enabled_when: Callable[[], bool] = _always


class ActionTable:
    """The actions of one page with their buttons and shortcuts kept in step.

    A shortcut works wherever the focus is while its page is seen, and never under a sheet that asks.
    """

    def __init__(self, owner: QWidget, actions: Sequence[Action]) -> None:
        self._owner = owner
        self._actions = {action.id: action for action in actions}
        self._buttons: dict[str, list[Button]] = {action.id: [] for action in actions}
        self._shortcuts = {a.id: self._shortcut(a) for a in actions if a.shortcut}

    def __iter__(self) -> Iterator[Action]:
        return iter(self._actions.values())

    def button(self, action_id: str, kind: Kind = "other") -> Button:
        """A new button for an action; it follows the action's state from then on."""
        action = self._actions[action_id]
        button = Button(action.words, kind=kind, icon=action.icon)
        if action.shortcut:
            button.setAccessibleDescription(action.shortcut)
            button.setToolTip(f"{action.words}  ({action.shortcut})")
        button.clicked.connect(lambda _checked=False: self.do(action_id))
        self._buttons[action_id].append(button)
        button.setEnabled(action.enabled_when())
        return button

    def do(self, action_id: str) -> None:
        """Do it, when it can be done now."""
        action = self._actions[action_id]
        if self._sheet is None and action.enabled_when():
            action.call()

    def refresh(self) -> None:
        """Ask every action again whether it can be done now."""
        for action_id, action in self._actions.items():
            enabled = action.enabled_when()
            for button in self._buttons[action_id]:
                button.setEnabled(enabled)
            if action_id in self._shortcuts:
                self._shortcuts[action_id].setEnabled(enabled)

    def _by_keys(self, action: Action) -> None:
        """Do it; the keys that press any page's main button wait until its words are settled.

        Where a sheet asks, the same keys press its verb.
        """
        if action.shortcut != MAIN_KEYS:
            self.do(action.id)
            return
        sheet = self._sheet
        verb = getattr(sheet, "confirm_button", None)
        if sheet is None and all(button.settled for button in self._buttons[action.id]):
            self.do(action.id)
        elif isinstance(verb, Button) and verb.isVisible() and verb.settled:
            verb.click()

    @property
    def _sheet(self) -> QWidget | None:
        """What stands over the page, or over one that it is part of."""
        at: QWidget | None = self._owner
        while at is not None:
            sheet = getattr(at, "standing_over", None)
            if isinstance(sheet, QWidget):
                return sheet
            at = at.parentWidget()
        return None

    def _shortcut(self, action: Action) -> QShortcut:
        shortcut = QShortcut(QKeySequence(action.shortcut), self._owner)
        shortcut.setAutoRepeat(False)
        shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
        shortcut.activated.connect(lambda: self._by_keys(action))
        return shortcut
