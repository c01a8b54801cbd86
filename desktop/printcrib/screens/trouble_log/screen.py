"""The place "Trouble log": what failed and why, by count, grams and hours, and what changed on a printer."""

from collections.abc import Mapping, Sequence

from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.causes import CauseGroup
from printcrib.core.errors import ShopError
from printcrib.core.troubles import CauseSum
from printcrib.core.units import duration_words, grams_words
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.cards import Card, FactRow, Scroll, emptied
from printcrib.screens.parts.charts import Cause, ParetoChart
from printcrib.screens.parts.page import PageFrame, column_of
from printcrib.screens.parts.picture import PictureView
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.words import Words
from printcrib.screens.shell.standing import Standing
from printcrib.screens.trouble_log.columns import trouble_columns, trouble_model
from printcrib.screens.trouble_log.presenter import TroublePresenter
from printcrib.screens.trouble_log.questions import CausePanel, FailurePanel
from printcrib.services.look_at_failable import FailableRun
from printcrib.services.look_at_trouble import PrinterRate, TroubleLog, TroubleRow

SIDE_NARROW, SIDE_WIDE = 440, 640
BARS_NARROW, BARS_WIDE = 4, 10
LOOK_AT = "Something changed here: look at nozzle, platform, spool."
HEADINGS = ("copies", "grams", "hours")


class TroubleLogPage(PageFrame):
    """The list on the left; on the right the Pareto, and each printer's "k of n"."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Trouble log",
            main=Action(
                "log", "Log a failure", lambda: self._presenter.ask_failure(), "trouble_log", "Ctrl+N"
            ),
            others=[Action("name", "Name the cause", self._ask_cause, "pencil", "Ctrl+E", self._has_chosen)],
        )
        self._here = standing
        self._presenter = TroublePresenter(standing, self)
        self._question: AskPanel | None = None
        self.table: RecordTable[TroubleRow] = RecordTable(
            trouble_model(self.wide),
            says="failures",
            empty="Nothing failed in the last 13 weeks. Log a failure when a run or a copy goes wrong.",
        )
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.table.opened.connect(lambda _row: self._ask_cause())
        self._bars: tuple[CauseSum, ...] = ()
        self.pareto = ParetoChart("Why prints failed", HEADINGS[:2])
        self.wide_pareto = ParetoChart("Why prints failed", HEADINGS)
        self._pareto_card = Card(title="Why prints failed", spacing=4)
        self._pareto_card.body.addWidget(self.pareto, 1)
        self._pareto_card.body.addWidget(self.wide_pareto, 1)
        self._rates = Scroll(spacing=0)
        self._rates_card = Card(title="Runs with a failure", spacing=4)
        self._rates_card.body.addWidget(self._rates, 1)
        self._photo = PictureView("Photo of the failure", empty="")
        self._photo.setFixedHeight(160)
        self._photo.hide()
        side = column_of(self._pareto_card, self._photo, self._rates_card, spacing=16)
        side.setStretch(0, 3)
        side.setStretch(2, 3)
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(self.table, 1)
        row.addLayout(side)
        self.body.addLayout(row, 1)
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the log again when a failure or run changed."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.load()

    def go_to(self, key: int) -> None:
        """Begin to log the failure of one copy; another place led here with its key."""
        self._presenter.ask_failure(key)

    def kept_state(self) -> Mapping[str, str]:
        """Which failure was chosen."""
        chosen = self.table.chosen
        return {"chosen": str(chosen.failure.id)} if chosen else {}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        if state.get("chosen", "").isdigit():
            self.table.choose(int(state["chosen"]))

    def show_log(self, log: TroubleLog) -> None:
        """Rows, Pareto and rates."""
        lost = f" {grams_words(log.mg_lost)} and {duration_words(round(log.minutes_lost))} lost."
        self.set_subtitle(log.words + (lost if log.rows else ""))
        self.table.set_records(log.rows)
        self._bars = log.pareto
        self._show_bars()
        self._fill_rates(log.rates)
        self._on_chosen()

    def ask_failure(self, runs: Sequence[FailableRun], copy_id: int | None = None) -> None:
        """Which run failed, with which copies, and why; begun at one copy when it is named."""
        panel = FailurePanel(runs, copy_id)
        panel.told.connect(self._presenter.log)
        self._ask(panel)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, above the buttons; what was typed stays."""
        if self._question is not None:
            self._question.set_error(str(error))
        else:
            self._here.messages.problem(error)

    def close_question(self) -> None:
        """The question is answered."""
        if self._question is not None:
            self._question.lay_down()
            self._question = None

    def _ask(self, panel: AskPanel) -> None:
        self._question = panel
        panel.open_over(self)

    def _ask_cause(self) -> None:
        row = self.table.chosen
        if row is None:
            return
        panel = CausePanel(row)
        panel.named.connect(lambda cause, done: self._presenter.name(row, cause, done))
        self._ask(panel)

    def _has_chosen(self) -> bool:
        return hasattr(self, "table") and self.table.chosen is not None

    def _on_chosen(self) -> None:
        self.refresh_actions()
        row = self.table.chosen
        sha = row.failure.photo_sha if row is not None else ""
        self._photo.setVisible(bool(sha))
        if sha:
            self._here.look(lambda shop: shop.files.get(sha), lambda content: self._show_photo(content))

    def _show_photo(self, content: bytes) -> None:
        self._photo.set_picture(content)

    def _show_bars(self) -> None:
        """The commonest causes; the list beside has them all."""
        for chart, count, room in (
            (self.pareto, 2, BARS_NARROW),
            (self.wide_pareto, 3, BARS_WIDE),
        ):
            chart.set_causes([_bar(each, count) for each in fewer(self._bars, room)])

    def _fill_rates(self, rates: Sequence[PrinterRate]) -> None:
        emptied(self._rates.body)
        if not rates:
            self._rates.add(Words("No run was taken off yet.", tone="second", wrap=True))
        for rate in rates:
            fact = FactRow(rate.printer, f"{rate.failed} of {rate.runs}", "signal" if rate.changed else "ink")
            self._rates.add(fact)
            if rate.changed:
                self._rates.add(Words(LOOK_AT, tone="signal", weight="medium", wrap=True))
        self._rates.body.addStretch(1)

    def _on_width(self, wide: bool) -> None:
        side = SIDE_WIDE if wide else SIDE_NARROW
        for widget in (self._pareto_card, self._rates_card, self._photo):
            widget.setFixedWidth(side)
        self.pareto.setVisible(not wide)
        self.wide_pareto.setVisible(wide)
        self.table.set_columns(trouble_columns(wide))


def fewer(bars: Sequence[CauseSum], room: int) -> Sequence[CauseSum]:
    """The commonest causes, at most so many; "not known yet" always stays, as the last."""
    known = [bar for bar in bars if bar.group != CauseGroup.NOT_KNOWN.value]
    last = [bar for bar in bars if bar.group == CauseGroup.NOT_KNOWN.value]
    return [*known[: room - len(last)], *last]


def _bar(each: CauseSum, amounts: int) -> Cause:
    lost = (each.count, round(each.mg_lost / 1000), round(each.minutes_lost / 60, 1))
    return Cause(each.cause, lost[:amounts], known=each.group != CauseGroup.NOT_KNOWN.value)
