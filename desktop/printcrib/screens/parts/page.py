"""The frame every place stands in: title, one line under it, the main button top right, the body."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering
from printcrib.screens.parts.actions import Action, ActionTable
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.tokens import GAP_PX, MAIN_PX, WIDE_FROM_PX
from printcrib.screens.parts.words import Words


class PageFrame(QWidget):
    """A place, or a page opened from it.

    Put parts into `body`. A place overrides `arrived`, `refresh`, `kept_state` and `restore_state`
    as it needs; by default they do nothing.

    Args:
        title: the place's name, 26 or 28 pt.
        subtitle: one plain sentence that answers the place's question.
        main: the one main action, top right.
        others: further actions, left of it.
        unseen: actions without a button in the header; `self.actions_table.button(id)` makes one elsewhere.
        heading: False for the Desk, whose step card is its heading.

    Signals:
        width_changed(bool): the page became wide (True) or narrow; lay out anew.
    """

    width_changed = Signal(bool)

    def __init__(
        self,
        title: str,
        subtitle: str = "",
        *,
        main: Action | None = None,
        others: Sequence[Action] = (),
        unseen: Sequence[Action] = (),
        heading: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._wide: bool | None = None
        self._standing: list[QWidget] = []
        self.setAccessibleName(title)
        actions = [*others, *([main] if main else []), *unseen]
        self.actions_table = ActionTable(self, actions)
        self._outer = QVBoxLayout(self)
        self._header = QWidget()
        self.title = Words(title, points=lettering.TITLE_PT, weight="strong")
        self.subtitle = Words(subtitle, tone="second", wrap=True)
        self.main_button: Button | None = None
        self.other_buttons: dict[str, Button] = {}
        self._lay_header(main, others)
        self.body = QVBoxLayout()
        self._outer.addWidget(self._header)
        if not heading:
            self._header.hide()
        self._outer.addLayout(self.body, 1)
        self._set_wide(False)

    @property
    def wide(self) -> bool:
        """Whether the window is wide enough for the roomy layout."""
        return bool(self._wide)

    def set_title(self, title: str) -> None:
        """Change the page's title."""
        self.title.setText(title)
        self.setAccessibleName(title)

    def set_subtitle(self, subtitle: str) -> None:
        """Change the sentence under the title."""
        self.subtitle.setText(subtitle)

    def refresh_actions(self) -> None:
        """Ask every action again whether it can be done now."""
        self.actions_table.refresh()

    def arrived(self) -> None:
        """The place was opened; called each time it comes to the front."""

    def refresh(self, things: frozenset[str]) -> None:
        """These kinds of record changed, here or in another window."""

    def go_to(self, key: int) -> None:
        """Show one of the place's records; another place led here."""

    def kept_state(self) -> Mapping[str, str]:
        """What to remember over a restart."""
        return {}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to what was remembered."""

    def stand_over(self, panel: QWidget) -> None:
        """Let a panel stand over the page (see ask.AskPanel), over others that stand there already."""
        if panel in self._standing:
            self._standing.remove(panel)
        self._standing.append(panel)
        panel.setParent(self)
        panel.setGeometry(self.rect())
        panel.installEventFilter(self)
        panel.show()
        panel.raise_()

    @property
    def standing_over(self) -> QWidget | None:
        """The panel on top of the page now, if any."""
        return self._standing[-1] if self._standing else None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if event.type() == QEvent.Type.HideToParent and watched in self._standing:
            self._standing = [panel for panel in self._standing if panel is not watched]
        return super().eventFilter(watched, event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._set_wide(self.window().width() >= WIDE_FROM_PX)
        for panel in self._standing:
            panel.setGeometry(self.rect())

    def _set_wide(self, wide: bool) -> None:
        if wide == self._wide:
            return
        self._wide = wide
        edge = 32 if wide else 16
        self._outer.setContentsMargins(edge, 28 if wide else 12, edge, 28 if wide else 12)
        self._outer.setSpacing(20 if wide else 12)
        self.body.setSpacing(20 if wide else 12)
        self.title.set_type(lettering.TITLE_WIDE_PT if wide else lettering.TITLE_PT, "strong")
        if self.main_button is not None:
            self.main_button.setMinimumWidth(280 if wide else 224)
        self.width_changed.emit(wide)

    def _lay_header(self, main: Action | None, others: Sequence[Action]) -> None:
        row = QHBoxLayout(self._header)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(16)
        texts = QVBoxLayout()
        texts.setSpacing(2)
        self.subtitle.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        texts.addWidget(self.title)
        texts.addWidget(self.subtitle)
        texts.addStretch(1)
        row.addLayout(texts, 1)
        for action in others:
            button = self.actions_table.button(action.id)
            button.setFixedHeight(MAIN_PX)
            self.other_buttons[action.id] = button
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        if main is not None:
            self.main_button = self.actions_table.button(main.id, "main")
            row.addWidget(self.main_button, 0, Qt.AlignmentFlag.AlignTop)
        self._header.setMinimumHeight(MAIN_PX)


def row_of(*widgets: QWidget, spacing: int = GAP_PX, stretch: Sequence[int] = ()) -> QHBoxLayout:
    """Widgets beside each other."""
    row = QHBoxLayout()
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(spacing)
    for index, widget in enumerate(widgets):
        row.addWidget(widget, stretch[index] if index < len(stretch) else 0)
    return row


def column_of(*widgets: QWidget, spacing: int = GAP_PX) -> QVBoxLayout:
    """Widgets under each other."""
    column = QVBoxLayout()
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(spacing)
    for widget in widgets:
        column.addWidget(widget)
    return column
