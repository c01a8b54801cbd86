"""One pattern in full, beside the list: its sizes, the chosen one's model, spares, releases and safety."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.safety import ASKED_AS, LAST_WORD
from printcrib.core.shapes import Mesh
from printcrib.screens.parts import lettering
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.page import row_of
from printcrib.screens.parts.tokens import Tone
from printcrib.screens.parts.words import Words
from printcrib.screens.pattern_book.facts_pane import FactsPane
from printcrib.screens.pattern_book.size_choice import SizeChoice
from printcrib.screens.pattern_book.words import (
    pattern_facts,
    safety_end,
    safety_facts,
    size_facts,
    size_heading,
)
from printcrib.services.look_at_patterns import PatternPage, SizeLine

Act = tuple[str, str, Callable[[], None]]
LEFT_NARROW, LEFT_WIDE = 276, 396
PICTURE_WIDE_PX = 350
NO_SIZE = 'No size yet. Press "Add a size"; then it can be requested.'


class PatternCard(Card):
    """The chosen pattern and one of its sizes.

    Signals:
        size_chosen(object): the SizeLine shown from now on, None while the pattern has no size.
    """

    size_chosen = Signal(object)

    def __init__(self, acts: Sequence[Act]) -> None:
        super().__init__(padding=16, spacing=10)
        self._page: PatternPage | None = None
        self._told: object = None
        self.name = Words("", points=lettering.CARD_PT, weight="strong", elide=True)
        self.under = Words("", tone="second", elide=True)
        self.under.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.sizes = SizeChoice()
        self.panel = ModelPanel()
        self.facts = FactsPane("what is known of it")
        self.safety = FactsPane("what it might do")
        self._wide = False
        self.acts: dict[str, Button] = {}
        self._left = QWidget()
        self._buttons(acts)
        self._lay_out()
        self.sizes.size_changed.connect(lambda _size: self._show_size())
        self.set_wide(False)
        self.show_pattern(None, None)

    @property
    def line(self) -> SizeLine | None:
        """The size shown now."""
        if self._page is None:
            return None
        return next((each for each in self._page.sizes if str(each.size.id) == self.sizes.chosen), None)

    def set_wide(self, wide: bool) -> None:
        """Where there is room, what it might do stands under the picture."""
        self._wide = wide
        self._left.setFixedWidth(LEFT_WIDE if wide else LEFT_NARROW)
        self.panel.setMinimumHeight(PICTURE_WIDE_PX if wide else 0)
        self.panel.setMaximumHeight(PICTURE_WIDE_PX if wide else 16_777_215)
        self.panel.set_columns(6 if wide else 3)
        self.safety.setVisible(wide)
        self._refill()

    def show_pattern(self, page: PatternPage | None, size_id: int | None) -> None:
        """Show a pattern, at a size of it; None while nothing is chosen."""
        self._page = page
        self.under.setVisible(page is not None)
        self._left.setVisible(page is not None)
        self.facts.setVisible(page is not None)
        self.name.setText("Choose a pattern." if page is None else page.row.name)
        kind = page.row.kind if page is not None else ""
        self.under.setText(", ".join(part for part in (page.row.tag, kind) if part) if page else "")
        self.sizes.set_sizes(page.sizes if page is not None else (), size_id)
        self._show_size()

    def show_mesh(self, mesh: Mesh, words: str) -> None:
        """The picture of the size shown."""
        self.panel.view.set_model(mesh.vertices, mesh.faces, words)

    def _show_size(self) -> None:
        line, page = self.line, self._page
        for act_id, button in self.acts.items():
            button.setEnabled(page is not None and (act_id != "model" or line is not None))
        self._refill()
        if line is None or line.model is None:
            self.panel.view.clear(NO_SIZE if line is None else "No model yet")
        told = line.size.id if line is not None else None
        if told != self._told:
            self.facts.to_top()
            self.safety.to_top()
        self._told = told
        self.size_chosen.emit(line)

    def _refill(self) -> None:
        page, line = self._page, self.line
        for pane in (self.facts, self.safety):
            pane.clear()
        if page is None:
            return
        if line is not None:
            self.facts.add_group(size_heading(line), size_facts(page, line))
        self.facts.add_group("The pattern", pattern_facts(page))
        self._tell_safety(page, self.safety if self._wide else self.facts)
        for pane in (self.facts, self.safety):
            pane.end()

    def _tell_safety(self, page: PatternPage, pane: FactsPane) -> None:
        """What it might do, what that leads to, and the cautions with the last word after them."""
        answers = page.pattern.safety_answers
        pane.add_group(ASKED_AS, safety_facts(answers))
        told = safety_end(answers)
        tone: Tone = "signal" if told.holds else "ink"
        pane.add_sentence(Words(told.words, weight="medium", tone=tone, wrap=True))
        further = told.further.removesuffix(LAST_WORD).strip()
        for sentence in (further, *(caution.words for caution in page.cautions)):
            if sentence:
                pane.add_sentence(Words(sentence, wrap=True))
        if page.cautions or told.further:
            pane.add_sentence(Words(LAST_WORD, weight="medium", wrap=True))

    def _buttons(self, acts: Sequence[Act]) -> None:
        for act_id, words, call in acts:
            button = Button(words)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, one=call: one())
            self.acts[act_id] = button

    def _lay_out(self) -> None:
        column = QVBoxLayout(self._left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.sizes)
        column.addWidget(self.panel, 3)
        column.addWidget(self.safety, 4)
        self.body.addLayout(row_of(self.name, self.under, stretch=(3, 2)))
        middle = row_of(self._left, self.facts, spacing=14, stretch=(0, 1))
        self.body.addLayout(middle, 1)
        self.body.addLayout(row_of(*self.acts.values(), stretch=(1,) * len(self.acts)))
