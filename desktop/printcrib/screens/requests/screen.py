"""The place Requests: the list, one request over it, and the form."""

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QStackedWidget

from printcrib.screens.parts.page import PageFrame
from printcrib.screens.requests.list_page import RequestListPage
from printcrib.screens.requests.one_page import OneRequestPage
from printcrib.screens.requests.raise_page import RaisePage, reason_of
from printcrib.screens.shell.standing import Standing

LIST, ONE, RAISE = "list", "one", "raise"


class RequestsPage(PageFrame):
    """Holds the three pages; one of them is in front.

    Attributes:
        list, one, form: the pages.
    """

    def __init__(self, standing: Standing) -> None:
        super().__init__("Requests", heading=False)
        self.list = RequestListPage(standing)
        self.one = OneRequestPage(standing)
        self.form = RaisePage(standing)
        self.stack = QStackedWidget()
        self._pages: dict[str, PageFrame] = {LIST: self.list, ONE: self.one, RAISE: self.form}
        for page in self._pages.values():
            self.stack.addWidget(page)
        self.body.addWidget(self.stack)
        self.front = LIST
        self.width_changed.connect(lambda _wide: self._no_margins())
        self._no_margins()
        self.list.raise_pressed.connect(self.raise_request)
        self.list.request_opened.connect(self.go_to)
        self.one.left.connect(self.show_list)
        self.one.request_wanted.connect(self.go_to)
        self.one.raise_pressed.connect(self.raise_request)
        self.form.left.connect(self.show_list)
        self.form.taken_in.connect(self.go_to)
        self.form.form_kept.connect(self._keep)

    def arrived(self) -> None:
        self._pages[self.front].arrived()

    def refresh(self, things: frozenset[str]) -> None:
        self.list.presenter.refresh(things)
        if self.front == ONE:
            self.one.presenter.refresh(things)
        if self.front == RAISE and things & {"plans", "runs", "sizes", "releases", "spools", "machines"}:
            self.form.presenter.plan_changed()

    def go_to(self, key: int) -> None:
        """One request, over the list."""
        self._bring(ONE)
        self.one.setFocus(Qt.FocusReason.OtherFocusReason)
        self.one.presenter.open(key)
        self.list.presenter.choose(key)

    def raise_request(self, **fields: Any) -> None:
        """The form, with something filled in already when it is told."""
        by = reason_of(self.list.main_button)
        self._bring(RAISE)
        self.form.begin(by, **fields)

    def show_list(self) -> None:
        """Back to the list."""
        self._bring(LIST)
        self.list.presenter.load()
        self.list.table.setFocus()

    def kept_state(self) -> Mapping[str, str]:
        return {
            **self.list.kept_state(),
            "front": self.front,
            "one": str(self.one.presenter.request_id or ""),
            "form": self.form.presenter.kept(),
        }

    def restore_state(self, state: Mapping[str, str]) -> None:
        self.list.restore_state(state)
        self.form.presenter.restore(state.get("form", ""))
        front, one = state.get("front", LIST), state.get("one", "")
        if front == ONE and one.isdigit():
            self.go_to(int(one))
        elif front == RAISE:
            self._bring(RAISE)

    def _bring(self, front: str) -> None:
        self.front = front
        self.stack.setCurrentWidget(self._pages[front])

    def _no_margins(self) -> None:
        """The three pages have margins of their own."""
        outer = self.layout()
        if outer is not None:
            outer.setContentsMargins(0, 0, 0, 0)

    def _keep(self) -> None:
        """Write the half-filled form down now, not only when the window closes."""
        keep = getattr(self.window(), "keep_state", None)
        if keep is not None:
            keep()
