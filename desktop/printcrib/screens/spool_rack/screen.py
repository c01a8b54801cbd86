"""The place "Spool rack": every spool, what is left and promised, and how long it lasts."""

from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal

from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.errors import ShopError
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.numbers import KeypadPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.record_table import BAR_ROW_PX, RecordTable
from printcrib.screens.shell.standing import Standing
from printcrib.screens.spool_rack.columns import spool_columns, spool_model
from printcrib.screens.spool_rack.inserts_panel import InsertsPanel
from printcrib.screens.spool_rack.presenter import RackChoices, RackPresenter
from printcrib.screens.spool_rack.questions import ReceivePanel, ScalePanel, WeighPanel, WherePanel
from printcrib.screens.spool_rack.story_card import StoryCard
from printcrib.services.look_at_spools import InsertRow, Rack, SpoolRow, SpoolStory
from printcrib.services.weigh_spool import Weighed

SIDE_NARROW, SIDE_WIDE = 352, 520


class SpoolRackPage(PageFrame):
    """The rack on the left, the chosen spool on the right, "Weigh a spool" on top."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Spool rack",
            main=Action("weigh", "Weigh a spool", self._ask_scale, "weigh", "Ctrl+W", self._has_chosen),
            others=[
                Action("inserts", "Inserts", self._open_inserts, None, "Ctrl+I"),
                Action("receive", "A spool came in", self._ask_new, "plus", "Ctrl+N"),
            ],
            unseen=[Action("move", "Move it", self._ask_move, "forward", "Ctrl+M", self._has_chosen)],
        )
        self._here = standing
        self._presenter = RackPresenter(standing, self)
        self._question: AskPanel | None = None
        self._story: SpoolStory | None = None
        self.table: RecordTable[SpoolRow] = RecordTable(
            spool_model(self.wide),
            says="spools",
            row_px=BAR_ROW_PX,
            empty='No spool yet. Press "A spool came in".',
        )
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.table.opened.connect(lambda _row: self._ask_scale())
        self._inserts: tuple[InsertRow, ...] = ()
        self.card = StoryCard(standing.zone, self._ask_move, self._ask_minimum)
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(self.table, 1)
        row.addWidget(self.card)
        self.body.addLayout(row, 1)
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the rack again when grams, places or the plan changed."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.load()

    def go_to(self, key: int) -> None:
        """Choose one spool."""
        self._presenter.chosen = key
        self._presenter.load()

    def kept_state(self) -> Mapping[str, str]:
        """Which spool was chosen."""
        return {"chosen": str(self._presenter.chosen or "")}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        if state.get("chosen", "").isdigit():
            self._presenter.chosen = int(state["chosen"])

    def show_rack(self, rack: Rack) -> None:
        """Every spool, what runs out first on top."""
        short = [row.insert.name for row in rack.inserts if row.below_minimum]
        self.set_subtitle(" ".join([rack.words, *(f"Below minimum: {name}." for name in short)]))
        wanted = self._presenter.chosen
        self.table.set_records(rack.spools)
        self._inserts = rack.inserts
        if isinstance(self._question, InsertsPanel):
            self._question.set_rows(rack.inserts)
        keys = [row.spool.id for row in rack.spools]
        if wanted in keys:
            self.table.choose(wanted)
        elif keys:
            self.table.choose(keys[0])
        self._on_chosen()

    def show_story(self, story: SpoolStory | None) -> None:
        """One spool in full."""
        self._story = story
        self.card.show_story(story, wide=self.wide)
        self.refresh_actions()

    def ask_about_scale(self, row: SpoolRow, weighed: Weighed, gross_mg: int) -> None:
        """The scale is too far from the books."""
        self.close_question()
        panel = ScalePanel(row, weighed)
        panel.scale_is_right.connect(lambda: self._presenter.weigh(row, gross_mg, scale_is_right=True))
        panel.other_spool.connect(self.close_question)
        panel.reel_weighs.connect(
            lambda grams: self._presenter.weigh_reel(row, gross_mg, round(grams * 1000))
        )
        self._ask(panel)

    def ask_new_spool(self, choices: RackChoices) -> None:
        """What came in."""
        panel = ReceivePanel(choices)
        panel.told.connect(self._presenter.receive)
        self._ask(panel)

    def ask_where(self, row: SpoolRow, choices: RackChoices) -> None:
        """Where a spool goes."""
        panel = WherePanel(row, choices)
        panel.to_printer.connect(lambda printer: self._presenter.to_printer(row, printer))
        panel.to_rack.connect(lambda place: self._presenter.to_rack(row, place))
        panel.to_dryer.connect(lambda hours: self._presenter.to_dryer(row, hours))
        panel.opened.connect(lambda: self._presenter.open_bag(row))
        panel.damp.connect(lambda damp: self._presenter.set_damp(row, damp))
        panel.thrown_away.connect(lambda: self._presenter.throw_away(row))
        self._ask(panel)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, above the buttons; what was typed stays."""
        if self._question is not None and self._question.isVisible():
            self._question.set_error(str(error))
        else:
            self._here.messages.problem(error)

    def close_question(self) -> None:
        """The question is answered."""
        while isinstance(self.standing_over, AskPanel):
            self.standing_over.lay_down()
        self._question = None

    def _ask(self, panel: AskPanel) -> None:
        self._question = panel
        panel.open_over(self)

    def _ask_scale(self) -> None:
        row = self.table.chosen
        if row is None:
            return
        panel = WeighPanel(row, self._wall_time())
        panel.entered.connect(
            lambda grams: self._presenter.weigh(row, _mg(grams), really_at=panel.really_at.moment)
        )
        self._ask(panel)

    def _open_inserts(self) -> None:
        panel = InsertsPanel(self._inserts)
        panel.received.connect(self._presenter.receive_inserts)
        panel.counted.connect(self._presenter.count_inserts)
        panel.added.connect(self._presenter.add_insert)
        self._ask(panel)

    def _ask_new(self) -> None:
        self._presenter.ask_new_spool()

    def _ask_move(self) -> None:
        row = self.table.chosen
        if row is not None:
            self._presenter.ask_where(row)

    def _ask_minimum(self) -> None:
        row = self.table.chosen
        if row is None:
            return
        panel = KeypadPanel(
            f"How much {row.words} does the shop want at least?", "g", confirm="Keep this minimum"
        )
        panel.entered.connect(lambda grams: self._presenter.set_minimum(row, _mg(grams)))
        self._ask(panel)

    def _wall_time(self) -> Callable[[], datetime]:
        return lambda: self._here.local(self._here.now())

    def _has_chosen(self) -> bool:
        return hasattr(self, "table") and self.table.chosen is not None

    def _on_chosen(self) -> None:
        row = self.table.chosen
        self._presenter.show(row.spool.id if row is not None else None)
        self.refresh_actions()

    def _on_width(self, wide: bool) -> None:
        self.card.setFixedWidth(SIDE_WIDE if wide else SIDE_NARROW)
        self.table.set_columns(spool_columns(wide))
        self.card.show_story(self._story, wide=wide)


def _mg(grams: Decimal) -> int:
    return round(grams * 1000)
