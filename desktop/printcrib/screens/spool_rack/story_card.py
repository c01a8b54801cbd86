"""One spool in full, beside the rack: how its grams go down, and its last bookings."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from printcrib.core.calendar import moment_words
from printcrib.core.materials import SpoolEntry
from printcrib.core.units import grams_words
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, emptied
from printcrib.screens.parts.charts import StepDownChart
from printcrib.screens.parts.marks import SpoolChip
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.spool_colours import swatch_of
from printcrib.screens.parts.words import Words
from printcrib.screens.spool_rack.columns import chart_of
from printcrib.services.look_at_spools import SpoolRow, SpoolStory

ENTRIES_SHOWN = 6


class StoryCard(Card):
    """The chosen spool; empty while none is chosen.

    Args:
        zone: the shop's zone. move, minimum: called by the two buttons.
    """

    def __init__(self, zone: ZoneInfo, move: Callable[[], None], minimum: Callable[[], None]) -> None:
        super().__init__(padding=16, spacing=6)
        self._zone = zone
        self.chip = SpoolChip()
        self.name = Words("", points=20, weight="strong", elide=True)
        self.where = Words("", tone="second", elide=True)
        head = QHBoxLayout()
        head.setSpacing(12)
        names = QVBoxLayout()
        names.setSpacing(0)
        names.addWidget(self.name)
        names.addWidget(self.where)
        head.addWidget(self.chip)
        head.addLayout(names, 1)
        self.body.addLayout(head)
        self.out = Words("", weight="strong", wrap=True)
        self.note = Words("", tone="second", wrap=True)
        self.chart = StepDownChart()
        self.chart.setMinimumHeight(150)
        self.entries_holder = QWidget()
        self.entries = QVBoxLayout(self.entries_holder)
        self.entries.setContentsMargins(0, 0, 0, 0)
        self.entries.setSpacing(0)
        self.move_button = Button("Move it", icon="forward")
        self.minimum_button = Button("Minimum", icon="pencil")
        self.move_button.clicked.connect(lambda: move())
        self.minimum_button.clicked.connect(lambda: minimum())
        self.add(self.out, self.note)
        self.body.addWidget(self.chart, 1)
        self.add(self.entries_holder)
        self.body.addLayout(row_of(self.move_button, self.minimum_button, stretch=(1, 1)))
        self.show_story(None, wide=False)

    def show_story(self, story: SpoolStory | None, *, wide: bool) -> None:
        """Show a spool, or say that none is chosen."""
        shown = story is not None
        for widget in (self.chip, self.where, self.note, self.chart, self.move_button, self.minimum_button):
            widget.setVisible(shown)
        self.entries_holder.setVisible(shown and wide)
        if story is None:
            self.name.setText("")
            self.out.setText("Choose a spool to see where its grams go.")
            return
        row = story.row
        self.chip.set_colour(swatch_of(row.spool.colour))
        self.name.setText(row.words)
        lot = f", lot {row.spool.lot}" if row.spool.lot else ""
        self.where.setText(f"{row.spool.tag} {row.place}{lot}")
        self.out.setText(f"Lasts until {row.lasts}" if row.lasts_until or row.will_not_last else row.lasts)
        self.note.setText(self._notes(row, story))
        self.note.set_tone("signal" if row.will_not_last or row.spool.damp else "second")
        self.chart.set_data(chart_of(story, self._zone))
        self._fill_entries(story)

    def _notes(self, row: SpoolRow, story: SpoolStory) -> str:
        use = f"{grams_words(round(story.mg_a_day))} a working day" if story.mg_a_day else ""
        return ". ".join(part for part in (row.note, use) if part)

    def _fill_entries(self, story: SpoolStory) -> None:
        emptied(self.entries)
        now = story.steps[0][0]
        for entry in story.entries[:ENTRIES_SHOWN]:
            when = moment_words(now, entry.happened_at, str(self._zone))
            self.entries.addWidget(FactRow(f"{when}, {entry.kind}", _signed(entry)))


def _signed(entry: SpoolEntry) -> str:
    sign = "+" if entry.mg > 0 else "−" if entry.mg < 0 else ""
    return f"{sign}{grams_words(abs(entry.mg))}"
