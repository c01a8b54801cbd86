"""A number with where it was read: minutes and grams of a run."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from printcrib.core.materials import Source
from printcrib.screens.desk.forms import Figure
from printcrib.screens.parts.fields import ChoiceRow
from printcrib.screens.parts.numbers import Stepper
from printcrib.screens.parts.words import Words

SOURCE_WORDS = {
    Source.PANEL: "the panel",
    Source.FILE: "print file",
    Source.WATCHED: "watched",
    Source.WEIGHED: "weighed",
    Source.ASSUMED: "as estimated",
}
MINUTE_SOURCES = (Source.ASSUMED, Source.PANEL, Source.FILE, Source.WATCHED)
GRAM_SOURCES = (Source.ASSUMED, Source.PANEL, Source.FILE, Source.WEIGHED)
START_SOURCES = (Source.ASSUMED, Source.FILE, Source.PANEL)


class FigureField(QWidget):
    """A number between - and +, and below it where it was read; nobody told it until a source is chosen.

    Args:
        at_start: where the number comes from that stands while nobody tells another; None for our estimate.

    Signals:
        figure_changed(object): the Figure now.
    """

    figure_changed = Signal(object)

    def __init__(
        self,
        label: str,
        figure: Figure,
        sources: Sequence[Source],
        *,
        unit: str,
        step: int,
        shown: Callable[[int], str] | None = None,
        at_start: Source | None = None,
    ) -> None:
        super().__init__()
        self._figure = figure
        self.setAccessibleName(label)
        self.label = Words(label, tone="second")
        self.stepper = Stepper(
            figure.value, least=0, most=99_999, step=step, unit=unit, says=label, shown=shown
        )
        self.sources = ChoiceRow(
            [(source.value, _words(source, at_start)) for source in sources],
            chosen=figure.source.value,
            columns=3 if len(sources) == 3 else 2,
            says=f"{label}: where it was read",
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        for widget in (self.label, self.stepper, self.sources):
            column.addWidget(widget)
        self._default = sources[1]
        self.stepper.value_changed.connect(self._on_number)
        self.sources.chosen_changed.connect(self._on_source)

    @property
    def figure(self) -> Figure:
        """Number and source now."""
        return self._figure

    def set_figure(self, figure: Figure) -> None:
        """Show a number and its source without telling anybody."""
        self._figure = figure
        self.stepper.set_value(figure.value)
        self.sources.set_chosen(figure.source.value)

    def _on_number(self, value: int) -> None:
        source = self._figure.source
        if source is Source.ASSUMED:
            source = self._default
            self.sources.set_chosen(source.value)
        self._tell(Figure(value, source))

    def _on_source(self, source: str) -> None:
        self._tell(Figure(self._figure.value, Source(source)))

    def _tell(self, figure: Figure) -> None:
        self._figure = figure
        self.figure_changed.emit(figure)


def _words(source: Source, at_start: Source | None) -> str:
    if source is not Source.ASSUMED or at_start is None:
        return SOURCE_WORDS[source]
    return "as its file says" if at_start is Source.FILE else "as at its start"
