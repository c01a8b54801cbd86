"""One pattern in full, beside the list: its sizes, the chosen one's model, spares and release."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy

from printcrib.core.safety import LAST_WORD
from printcrib.core.shapes import Mesh
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, Scroll, emptied
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words
from printcrib.services.look_at_patterns import PatternPage, SizeLine


class PatternCard(Card):
    """The chosen pattern and one of its sizes.

    Signals:
        size_chosen(object): the SizeLine shown from now on, None while the pattern has no size.
    """

    size_chosen = Signal(object)

    def __init__(self, acts: Sequence[tuple[str, str, Callable[[], None]]]) -> None:
        super().__init__(padding=16, spacing=8)
        self._page: PatternPage | None = None
        self._wide = False
        self.name = Words("", points=20, weight="strong", elide=True)
        self.under = Words("", tone="second", elide=True)
        self.size_field = PickField(says="Size", nothing="No size yet", confirm="Show this size")
        self.panel = ModelPanel()
        self.panel.view.setMinimumHeight(120)
        self.facts = Scroll(spacing=0)
        self.acts: dict[str, Button] = {}
        row = QHBoxLayout()
        row.setSpacing(12)
        for act_id, words, call in acts:
            button = Button(words)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.clicked.connect(lambda _down=False, one=call: one())
            self.acts[act_id] = button
            row.addWidget(button)
        self.add(self.name, self.under, self.size_field)
        self.body.addWidget(self.panel, 3)
        self.body.addWidget(self.facts, 2)
        self.body.addLayout(row)
        self.size_field.picked_changed.connect(self._on_picked)
        self.show_pattern(None, None)

    @property
    def line(self) -> SizeLine | None:
        """The size shown now."""
        if self._page is None:
            return None
        return next((each for each in self._page.sizes if str(each.size.id) == self.size_field.chosen), None)

    def set_wide(self, wide: bool) -> None:
        """More facts beside a larger picture."""
        self._wide = wide
        self.panel.view.setMinimumHeight(280 if wide else 130)
        self.body.setSpacing(8 if wide else 4)

    def show_pattern(self, page: PatternPage | None, size_id: int | None) -> None:
        """Show a pattern, at a size of it; None while nothing is chosen."""
        self._page = page
        for widget in (self.under, self.size_field, self.panel, self.facts):
            widget.setVisible(page is not None)
        if page is None:
            self.name.setText("Choose a pattern.")
            self.size_field.set_picks(())
        else:
            self.name.setText(page.row.name)
            self.under.setText(", ".join(part for part in (page.row.tag, page.row.kind) if part))
            picks = [Pick(str(each.size.id), each.name, each.extents) for each in page.sizes]
            known = {pick.id for pick in picks}
            first = picks[0].id if picks else ""
            self.size_field.set_picks(picks, str(size_id) if str(size_id) in known else first)
        self._show_size()

    def show_mesh(self, mesh: Mesh, words: str) -> None:
        """The picture of the size shown."""
        self.panel.view.set_model(mesh.vertices, mesh.faces, words)

    def _on_picked(self, _size: str) -> None:
        self._show_size()

    def _show_size(self) -> None:
        line = self.line
        page = self._page
        self.acts["size"].setEnabled(page is not None)
        self.acts["pattern"].setEnabled(page is not None)
        self.acts["model"].setEnabled(line is not None)
        emptied(self.facts.body)
        if page is not None:
            for name, value, bad in facts_of(page, line):
                self.facts.add(FactRow(name, value, "signal" if bad else "ink"))
            for caution in page.cautions:
                self.facts.add(Words(caution.words, tone="second", wrap=True))
            if page.cautions:
                self.facts.add(Words(LAST_WORD, tone="second", wrap=True))
            self.facts.body.addStretch(1)
        if line is None or line.model is None:
            self.panel.view.clear("No model yet")
        self.size_chosen.emit(line)


def facts_of(page: PatternPage, line: SizeLine | None) -> list[tuple[str, str, bool]]:
    """Name, value and whether it is a warning; what is not known is left out."""
    pattern, row = page.pattern, page.row
    told: list[tuple[str, str, bool]] = []
    if line is not None:
        short = line.spares < line.minimum_spares
        spares = (
            f"{line.spares} of at least {line.minimum_spares}" if line.minimum_spares else str(line.spares)
        )
        told += [
            ("Size", line.extents, False),
            ("Revision", line.revision, False),
            *(("Look at it", words, True) for words in line.findings),
            ("In use", str(line.in_use), False),
            ("Spares", ", ".join(part for part in (spares, line.shelf_place) if part), short),
            ("Release", line.release, False),
            ("From", line.source, False),
        ]
    told += [
        (
            "Made of",
            ", ".join(part for part in (row.material or "any material", pattern.colour) if part),
            False,
        ),
        ("How fine", row.how_fine, False),
        ("Expected life", row.life or "not known", False),
        ("Next one in time", pattern.reliability.value, False),
        ("Finishing", ", ".join(page.steps) or "none", False),
        ("Inserts", ", ".join(page.inserts), False),
        ("Might it", page.safety, page.pattern.safety_answers is None),
        ("Before the machine starts", "take it out" if pattern.take_out_before_start else "", True),
    ]
    return [each for each in told if each[1]]
