"""The section "What the shop has learned": estimate and actual by printer and nozzle, odd prints named."""

from collections.abc import Sequence

from PySide6.QtCore import Signal

from printcrib.core.people import Role
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.scatter import Dot, PrintsChart
from printcrib.screens.parts.words import Words
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.look_at_learned import LearnedLine
from printcrib.services.look_at_settings import SettingsPage

LEGEND = "Line: likely, hatched up to at most."


def learned_model() -> RecordModel[LearnedLine]:
    """Every printer in use with every nozzle it can have."""
    return RecordModel(
        [
            Column("Printer", 0, lambda line: Cell(line.printer, f"nozzle {line.nozzle}", strong=True)),
            Column("Printing takes", 200, _takes),
        ],
        key=lambda line: f"{line.printer_id} {line.bore_um}",
    )


def _takes(line: LearnedLine) -> Cell:
    return Cell(line.minutes or "as computed", line.basis, tone="ink" if line.count else "second")


class ForgetPanel(AskPanel):
    """What forgetting does, before the press.

    Signals:
        told(): the lead wants it forgotten.
    """

    told = Signal()

    def __init__(self, line: LearnedLine, who: str, leads: bool) -> None:
        stands = f"{who} presses as the lead." if leads else f"Only the lead may; {who} stands here."
        super().__init__(
            f"Forget what was learned of {line.printer} with {line.nozzle}",
            confirm="Forget it",
            sentence=stands,
            width=820,
            stays=True,
        )
        self.body.addWidget(Words(line.forget, wrap=True))
        self.body.addWidget(
            Words(
                "Do so after a new hot end, other speeds or another firmware. Undo takes it back.", wrap=True
            )
        )
        self.body.addStretch(1)
        self.confirmed.connect(self.told)


class LearnedSection(ListSection[LearnedLine]):
    """How far this shop's prints are off what is computed, and what that makes of an hour."""

    id = "learned"
    words = "What was learned"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            learned_model(),
            [("forget", "Forget what was learned", "undo", self._ask)],
            empty="Enter a printer and a nozzle first.",
            facts=True,
        )
        self.chart = PrintsChart("minutes computed and minutes taken")
        self.legend = Words(LEGEND, tone="second", wrap=True)
        self.nothing = Words("", tone="second", wrap=True)
        at = self.card.body.indexOf(self.facts)
        self.card.body.insertWidget(at, self.chart, 5)
        self.card.body.insertWidget(at + 1, self.legend)
        self.card.body.insertWidget(at + 2, self.nothing)
        self.card.body.setStretchFactor(self.facts, 3)
        self.set_wide(False)

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(page.learned)

    def set_wide(self, wide: bool) -> None:
        self._row.setStretch(0, 5)
        self._row.setStretch(1, 8 if wide else 6)

    def summary(self) -> str:
        if self.page is None:
            return ""
        prints = sum(line.count for line in self.page.learned)
        return "nothing yet" if not prints else f"from {prints} print{'' if prints == 1 else 's'}"

    def sentence(self) -> str:
        if self.page is None:
            return ""
        prints = sum(line.count for line in self.page.learned)
        odd = sum(each.odd for line in self.page.learned for each in line.prints)
        if not prints:
            return "Estimates are as computed until prints with minutes from panel, file or watching come in."
        told = f"What the shop has learned: {prints} print{' counts' if prints == 1 else 's count'}"
        return f"{told}, {odd} far off." if odd else f"{told}, none far off."

    def facts_of(self, row: LearnedLine) -> tuple[str, Sequence[tuple[str, str]]]:
        facts = [
            *((f"Run {each.run} is far off", each.words) for each in row.prints if each.odd),
            ("Printing takes", row.minutes),
            ("The start takes", row.start),
            ("Filament", f"{row.grams}, from {row.grams_count} prints" if row.grams_count else row.grams),
            ("An hour computed", f"{row.hour}, {row.basis}"),
            ("Begun again", row.since),
        ]
        return f"{row.printer}, nozzle {row.nozzle}", [(name, value) for name, value in facts if value]

    def may_main(self) -> bool:
        return False

    def _ask(self, row: LearnedLine) -> None:
        if not row.forget:
            return
        person = self.presenter.standing.person
        panel = ForgetPanel(row, person.name, person.may(Role.LEAD))
        words = f"{row.printer} with {row.nozzle}"
        panel.told.connect(lambda: self.presenter.forget_learned(row.printer_id, row.bore_um, words))
        self.asker.ask(panel)

    def _on_chosen(self) -> None:
        super()._on_chosen()
        if not hasattr(self, "chart"):
            return
        row = self.table.chosen
        self.acts["forget"].setEnabled(row is not None and bool(row.forget))
        prints = row.prints if row is not None else ()
        self.chart.set_prints(
            [Dot(each.computed, each.took, f"run {each.run}" if each.odd else "") for each in prints],
            row.line if row is not None and prints else (),
        )
        self.chart.setVisible(bool(prints))
        self.legend.setVisible(bool(prints))
        self.nothing.setText(
            "" if prints else "No print of this nozzle counts yet. Tell the minutes when a run is taken off."
        )
        self.nothing.setVisible(not prints)
