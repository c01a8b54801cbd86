"""The place "Week summary": the weekly usage report as it prints, and what in it is worth a look."""

from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, Hairline, Scroll, emptied
from printcrib.screens.parts.lettering import CARD_PT
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick_file import ask_new_path
from printcrib.screens.parts.picture import PictureView
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.standing import Standing
from printcrib.screens.week_summary.presenter import WeekPresenter
from printcrib.services.look_at_week import WeekPage

SIDE_NARROW, SIDE_WIDE = 272, 352


class WeekSummaryPage(PageFrame):
    """Preview on the left, week and page on the right, "Save the PDF" on top."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Week summary",
            main=Action("save", "Save the PDF", lambda: self._presenter.save(), "save", "Ctrl+S"),
            unseen=[
                Action("earlier", "Week before", lambda: self._presenter.earlier(), "back", "Alt+Left"),
                Action("later", "Week after", lambda: self._presenter.later(), "forward", "Alt+Right"),
                Action("back", "Page before", lambda: self._presenter.turn(-1), "back", "PgUp"),
                Action("on", "Next page", lambda: self._presenter.turn(1), "forward", "PgDown"),
            ],
        )
        self._presenter = WeekPresenter(standing, self)
        self.sheet = PictureView("The report as it prints", empty="The report is being set.", frame=False)
        self._sheet_card = Card(padding=12)
        self._sheet_card.body.addWidget(self.sheet, 1)
        self._side = self._lay_side()
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(self._sheet_card, 1)
        row.addWidget(self._side)
        self.body.addLayout(row, 1)
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.open(self._presenter.text)

    def refresh(self, things: frozenset[str]) -> None:
        """Set the report anew when something it counts changed."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.open(self._presenter.text)

    def kept_state(self) -> Mapping[str, str]:
        """Which week was looked at."""
        return {"week": self._presenter.text}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to that week."""
        self._presenter.text = state.get("week", "")

    def show_week(self, page: WeekPage) -> None:
        """Head, dates and remarks of a week."""
        self.set_subtitle(page.head)
        self.week_number.setText(str(page.number))
        self._days.setText(page.days)
        self.later.setEnabled(page.after is not None)
        self._fill_remarks(page)

    def show_sheet(self, picture: bytes | None, number: int, count: int) -> None:
        """One page of the report as it prints."""
        self.sheet.set_picture(picture)
        self.page_number.setText(f"{number} of {count}" if count else "...")
        self.page_back.setEnabled(number > 1)
        self.page_on.setEnabled(number < count)

    def ask_where(self, file_name: str) -> Path | None:
        """Where the PDF goes."""
        chosen = ask_new_path(self, "Save the PDF", str(Path.home() / file_name), "PDF (*.pdf)")
        return Path(chosen) if chosen else None

    def _fill_remarks(self, page: WeekPage) -> None:
        emptied(self._remarks.body)
        if not page.remarks:
            self._remarks.add(Words("Nothing out of the ordinary.", tone="second", wrap=True))
        for remark in page.remarks:
            self._remarks.add(
                Words(remark.title, weight="strong", wrap=True), Words(remark.words, tone="second", wrap=True)
            )
            self._remarks.body.addSpacing(4)
        self._remarks.body.addStretch(1)

    def _lay_side(self) -> Card:
        card = Card(padding=16)
        self.earlier, self.week_number, self.later = self._stepping("earlier", "later", "Week")
        self._days = Words("", tone="second", wrap=True)
        self._days.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._remarks = Scroll(spacing=4)
        self.page_back, self.page_number, self.page_on = self._stepping("back", "on", "Page")
        card.add(Words("Week", tone="second"), self._stepped[0], self._days, Hairline())
        card.add(Words("Worth a look", tone="second"))
        card.body.addWidget(self._remarks, 1)
        card.add(Hairline(), Words("Page", tone="second"), self._stepped[1])
        return card

    def _stepping(self, before: str, after: str, what: str) -> tuple[Button, Words, Button]:
        """Two buttons with the number between them."""
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        number = Words("", points=CARD_PT, weight="strong")
        number.setAlignment(Qt.AlignmentFlag.AlignCenter)
        number.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        number.setAccessibleName(what)
        buttons = []
        for action_id in (before, after):
            button = self.actions_table.button(action_id)
            button.set_words("", says=f"{what} {'before' if action_id == before else 'after'}")
            button.setFixedWidth(64)
            buttons.append(button)
        row.addWidget(buttons[0])
        row.addWidget(number, 1)
        row.addWidget(buttons[1])
        self._stepped = [*getattr(self, "_stepped", []), holder]
        return buttons[0], number, buttons[1]

    def _on_width(self, wide: bool) -> None:
        self._side.setFixedWidth(SIDE_WIDE if wide else SIDE_NARROW)
