"""The chosen aid: its big count and life, the + buttons, and what else is pressed most."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.aids.model import bar_of
from printcrib.screens.aids.presenter import Gone
from printcrib.screens.aids.words import Face, face_of, unit_words
from printcrib.screens.parts import lettering
from printcrib.screens.parts.bars import BarView
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, emptied
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.tokens import FAR_GAP_PX, GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_aid import AidPage

AMOUNTS = (1, 10, 100)
SMALLEST_PX, TOLD_PX = 116, 184
NOTHING = "Choose an aid, or scan its tag."


class AidCard(Card):
    """The chosen aid; empty while none is chosen.

    Args:
        now: the shop's wall time, for "really at".

    Signals:
        counted(int): a + button. asked(str): an act by its id ("number", "another", "worn out", "broken",
            "more", "reprint", "check", "hand_out", "counter", "another_gone").
    """

    counted = Signal(int)
    asked = Signal(str)

    def __init__(self, now: Callable[[], datetime]) -> None:
        super().__init__(padding=16, spacing=0)
        self.body.setContentsMargins(16, 8, 16, 8)
        self._face: Face = Face(False)
        self._act_of_another: str = "another"
        self.name = Words("", points=lettering.CARD_PT, weight="strong", elide=True)
        self.where = Words("", tone="second", elide=True)
        self.add(self.name, self.where)
        self.body.addSpacing(2)
        self._lay_count()
        self._lay_middle(now)
        self.show_aid(None, None, wide=False)

    def show_aid(self, page: AidPage | None, gone: Gone | None, *, wide: bool) -> None:
        """Show an aid, or say that none is chosen; the one that just left service may be printed again."""
        had = QApplication.focusWidget()
        pressed_here = had is not None and self.isAncestorOf(had)
        self._show_parts(page, gone, wide=wide)
        if pressed_here and had is not None and not had.isVisibleTo(self):
            self.focus_first()  # the button pressed is gone; the focus stays on the card

    def focus_first(self) -> None:
        """Put the focus where the next press belongs."""
        order = (self.plus[1], self.act_button, self.another_button, self.gone_button)
        first = next((one for one in order if one.isVisibleTo(self)), self.more_button)
        first.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def book_now(self) -> None:
        """A press is booked: the next one is for now again."""
        self.really_at.clear()
        self._fit_when()

    def _fit_when(self) -> None:
        """Room for "Really at Tue 22:10" in two lines, once somebody told it."""
        told = self.really_at.moment is not None
        self.really_at.button.setMinimumWidth(TOLD_PX if told else SMALLEST_PX)

    def _show_parts(self, page: AidPage | None, gone: Gone | None, *, wide: bool) -> None:
        for part in (self.full, self.when_row, self.ends, self.another_row):
            part.setVisible(page is not None)
        self.facts.setVisible(page is not None and wide)
        if page is None:
            self._show_none(gone)
            return
        row = page.row
        self.name.setText(row.name)
        self.where.setText(f"{row.tag} on {row.where}" if page.aid.machine_id else f"{row.tag}, {row.where}")
        self._show_count(page, wide=wide)
        self._show_face(face_of(page))
        reprint = page.reprint_tag
        self.another_button.set_words(f"Reprint {reprint}" if reprint else "Print another")
        self._act_of_another = "reprint" if reprint else "another"
        if wide:
            self._fill_facts(page)

    def _lay_count(self) -> None:
        self.full = QWidget()
        column = self._count_column = QVBoxLayout(self.full)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self.count = Words("", points=lettering.COUNT_NARROW_PT, weight="strong")
        self.of_about = Words("", tone="second", elide=True)
        self.unit = Words("", tone="second", elide=True)
        beside = QVBoxLayout()
        beside.setSpacing(0)
        beside.addStretch(1)
        beside.addWidget(self.of_about)
        beside.addWidget(self.unit)
        beside.addStretch(1)
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        row.addWidget(self.count)
        row.addLayout(beside, 1)
        self.bar = BarView()
        self.wears = Words("", tone="second", wrap=True)
        column.addLayout(row)
        column.addWidget(self.bar)
        column.addWidget(self.wears)
        self.body.addWidget(self.full)
        self.body.addSpacing(6)

    def _lay_middle(self, now: Callable[[], datetime]) -> None:
        self.plus = {amount: Button(f"+{amount}", kind="count", says=f"count {amount}") for amount in AMOUNTS}
        for amount, button in self.plus.items():
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, one=amount: self.counted.emit(one))
        self.plus_row = _holder(*self.plus.values())
        self.said = Words("", wrap=True)
        self.said.setContentsMargins(0, 4, 0, 0)
        self.act_button = self._button("", lambda: self._face.act)
        self.act_button.setMinimumWidth(SMALLEST_PX)
        self.number_button = self._button("Number", lambda: "number")
        self.really_at = ReallyAt(now)
        self.really_at.changed.connect(lambda _moment: self._fit_when())
        self._fit_when()
        self.when_row = _holder(self.number_button, self.act_button, self.really_at)
        self.another_button = self._button("Print another", lambda: self._act_of_another)
        self.more_button = self._button("More", lambda: "more")
        self.another_row = _holder(self.another_button, self.more_button)
        self.worn_button = self._button("Worn", lambda: "worn out")
        self.broken_button = self._button("Broken", lambda: "broken")
        self.ends = _holder(self.worn_button, self.broken_button)
        self.gone_button = self._button("Print another", lambda: "another_gone")
        self.facts = QWidget()
        self.fact_rows = QVBoxLayout(self.facts)
        self.fact_rows.setContentsMargins(0, 0, 0, 0)
        self.fact_rows.setSpacing(0)
        self.add(self.plus_row, self.said)
        self.body.addSpacing(GAP_PX)
        for part in (self.when_row, self.another_row):
            self.body.addWidget(part)
            self.body.addSpacing(GAP_PX)
        self.add(self.gone_button, self.facts)
        self.body.addStretch(1)
        self.body.addSpacing(FAR_GAP_PX - GAP_PX)
        self.add(self.ends)

    def _button(self, words: str, act: Callable[[], str]) -> Button:
        button = Button(words)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda _down=False: self.asked.emit(act()))
        return button

    def _show_none(self, gone: Gone | None) -> None:
        self.name.setText(gone.words.partition(" is ")[0] if gone else "")
        self.where.setText("")
        self.said.setText(gone.words if gone else NOTHING)
        self.said.set_tone("ink")
        self.said.show()
        for part in (self.plus_row, self.act_button):
            part.hide()
        self.gone_button.setVisible(gone is not None)

    def _show_count(self, page: AidPage, *, wide: bool) -> None:
        row = page.row
        self.count.set_type(lettering.COUNT_PT if wide else lettering.COUNT_NARROW_PT, "strong")
        self.count.setText(f"{row.count:,}")
        self.of_about.setText("" if row.expected is None else f"of about {row.expected:,}")
        self.of_about.setVisible(row.expected is not None)
        self.unit.setText(unit_words(page.aid, row.unit))
        bar = bar_of(row.bar)
        self.bar.set_bar(bar)
        self.bar.setVisible(bar is not None)
        limit = "no life known yet" if page.limit is None else f"to be checked at {page.limit:,}"
        self.wears.setText((page.likely_words or page.wears_words) if bar else limit)
        self.wears.setVisible(wide or bar is None)
        self._count_column.activate()  # a wider number gets its room at once

    def _show_face(self, face: Face) -> None:
        self._face = face
        self.plus_row.setVisible(face.counts)
        self.number_button.setVisible(face.counts)
        self.said.setText(face.words)
        self.said.set_tone("signal" if face.bad else "ink")
        self.said.setVisible(bool(face.words))
        self.act_button.set_words(face.act_words)
        self.act_button.setVisible(bool(face.act))
        self.gone_button.hide()

    def _fill_facts(self, page: AidPage) -> None:
        emptied(self.fact_rows)
        row = page.row
        note = f", {row.note}" if row.note else ""
        facts = [
            ("Reprint by", f"{row.reprint_words}{note}"),
            ("Use", page.rate_words),
            ("Spares", page.spare_words),
            ("To be checked at", "" if page.limit is None else f"{page.limit:,} {row.unit}"),
        ]
        for name, value in facts:
            if value:
                tone = "signal" if row.note_bad and name == "Reprint by" else "ink"
                self.fact_rows.addWidget(FactRow(name, value, "signal" if tone == "signal" else "ink"))


def _holder(*widgets: QWidget) -> QWidget:
    holder = QWidget()
    holder.setLayout(row_of(*widgets, stretch=tuple(1 for _ in widgets)))
    return holder
