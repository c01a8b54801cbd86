"""The sheets of the place: each is opened over the page, and its answer goes to the presenter."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt

from printcrib.core.aids import RetireReason
from printcrib.core.errors import ShopError
from printcrib.screens.aids.act_panels import (
    AsidePanel,
    HistoryPanel,
    MorePanel,
    ShelfPanel,
    ThisOnePanel,
)
from printcrib.screens.aids.counter_panel import CounterPanel
from printcrib.screens.aids.forms import machine_name
from printcrib.screens.aids.hand_out_panel import HandOutPanel
from printcrib.screens.aids.number_panel import NumberPanel
from printcrib.screens.aids.presenter import AidsPresenter
from printcrib.screens.aids.questions_panel import QuestionsPanel
from printcrib.screens.aids.ready_card import ReadyPanel, ReadyRows
from printcrib.screens.aids.scan_panel import ScanPanel
from printcrib.screens.aids.words import number_words, so_far
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.shell.standing import Standing
from printcrib.services.ask_weekly import Question
from printcrib.services.count_use import CounterLower
from printcrib.services.hand_out_aid import To
from printcrib.services.look_at_aid import AidPage
from printcrib.services.look_at_aids import AidRow
from printcrib.services.look_at_copies import ReadyCopy
from printcrib.services.look_at_counters import MachineCounter
from printcrib.services.look_at_hand_out import HandOutChoices

Kept = HandOutPanel | AsidePanel
"""Sheets that come back half filled after Back."""


class Asking:
    """Opens the sheets and closes them.

    Attributes:
        panel: the sheet that was opened last, None when all are closed.
    """

    def __init__(self, page: PageFrame, standing: Standing, presenter: AidsPresenter) -> None:
        self._page, self._here, self._presenter = page, standing, presenter
        self.panel: AskPanel | None = None
        self._kept: dict[str, Kept] = {}

    def tag(self, rows: Sequence[AidRow], typed: str = "") -> None:
        """Scan a tag; `typed` is what the scanner began with."""
        panel = ScanPanel(rows)
        panel.scanned.connect(self._presenter.scan)
        panel.taken.connect(self._presenter.take)
        self._open(panel)
        panel.field.setText(typed)

    def hand_out(self, choices: HandOutChoices) -> None:
        """Where an aid goes; a sheet half filled before comes back."""
        kept = self._kept.get("hand out")
        if isinstance(kept, HandOutPanel) and kept.choices == choices:
            self._open(kept)
            return
        panel = HandOutPanel(choices, self._now)
        panel.told.connect(lambda to: self._on_hand_out(panel, to))
        self._keep("hand out", panel)

    def counter(self, counters: tuple[MachineCounter, ...], machine_id: int | None) -> None:
        """What a part counter shows."""
        panel = CounterPanel(counters, machine_id, self._now)
        panel.told.connect(
            lambda machine, number, was_reset: self._presenter.acts.read_counter(
                machine, number, panel.really_at.moment, was_reset=was_reset
            )
        )
        self._open(panel)

    def reset(self, error: CounterLower) -> None:
        """The counter shows less than before."""
        if isinstance(self.panel, CounterPanel):
            self.panel.ask_reset(error)

    def questions(self, questions: tuple[Question, ...]) -> None:
        """The weekly questions; none left closes them."""
        self._lay_down_above(QuestionsPanel)
        if not questions:
            self.close()
            return
        if isinstance(self.panel, QuestionsPanel) and not self.panel.isHidden():
            self.panel.set_questions(questions)
            self.panel.focus_first()
            return
        panel, acts = QuestionsPanel(questions, self._now), self._presenter.acts
        panel.usual.connect(lambda one: acts.same_as_usual(one, panel.really_at.moment))
        panel.none.connect(lambda one: acts.not_used(one, panel.really_at.moment))
        panel.number.connect(lambda one, number: acts.so_many(one, number, panel.really_at.moment))
        panel.counter.connect(lambda one: self._presenter.ask_counter(one.machine_id))
        panel.backed.connect(self._presenter.questions_left)
        self._open(panel)

    def ready(self, copies: Sequence[ReadyCopy]) -> None:
        """All good copies that wait."""
        panel = ReadyPanel(copies)
        self.follow(panel.rows)
        self._open(panel)

    def follow(self, rows: ReadyRows) -> None:
        """Let the buttons beside good copies do what they say."""
        rows.hand_out.connect(lambda copy: self._presenter.ask_hand_out(copy.aid_id))
        rows.shelve.connect(self._presenter.acts.shelve_copy)
        rows.see.connect(lambda copy: self._here.open_place("requests", copy.request_id))

    def more(self, page: AidPage) -> None:
        """Everything else that can be done with an aid."""
        panel = MorePanel(page, self._now)
        panel.asked.connect(lambda act: self._on_more(panel, page, act))
        self._open(panel)

    def about(self, page: AidPage, act: str, really_at: datetime | None = None) -> None:
        """One act on an aid, by its id."""
        key = page.aid.id
        if act in tuple(RetireReason):
            self._presenter.acts.retire(key, RetireReason(act), really_at)
            return
        calls: dict[str, Callable[[], None]] = {
            "more": lambda: self.more(page),
            "number": lambda: self._number(page, really_at),
            "check": lambda: self._check(page),
            "correct": lambda: self._correct(page),
            "hand_out": lambda: self._presenter.ask_hand_out(key),
            "counter": lambda: self._presenter.ask_counter(page.aid.machine_id),
            "aside": lambda: self._aside(page),
            "shelf": lambda: self._shelf(page),
            "this_one": lambda: self._this_one(page),
            "history": lambda: self._open(HistoryPanel(page)),
            "another": lambda: self._presenter.acts.print_another(key, page.row.name),
            "reprint": lambda: self._here.open_place("requests", page.reprint_id),
        }
        calls[act]()

    def refuse(self, error: ShopError) -> None:
        """Say it beside its cause when a sheet is open, else in the strip; what was typed stays."""
        panel = self.panel
        if panel is None or panel.isHidden():
            self._here.messages.problem(error)
        elif isinstance(panel, ScanPanel | AsidePanel):
            panel.refuse(error)
        else:
            panel.set_error(str(error))

    def close(self) -> None:
        """Everything asked is answered."""
        for name in [name for name, kept in self._kept.items() if kept is self.panel]:
            self._kept.pop(name)
        while isinstance(self._page.standing_over, AskPanel):
            panel = self._page.standing_over
            panel.lay_down()
            self._let_go(panel)
        self.panel = None

    def _now(self) -> datetime:
        return self._here.local(self._here.now())

    def _open(self, panel: AskPanel) -> None:
        self.panel = panel
        panel.open_over(self._page)
        panel.backed.connect(lambda: self._let_go(panel), Qt.ConnectionType.SingleShotConnection)

    def _let_go(self, panel: AskPanel) -> None:
        """A sheet that was closed goes for good, unless it is kept half filled."""
        if self.panel is panel:
            self.panel = None
        if panel not in self._kept.values():
            panel.deleteLater()

    def _on_more(self, panel: MorePanel, page: AidPage, act: str) -> None:
        self._let_go(panel)
        self.about(page, act, panel.really_at.moment)

    def _keep(self, name: str, panel: Kept) -> None:
        before = self._kept.pop(name, None)
        if before is not None:
            before.deleteLater()
        self._kept[name] = panel
        self._open(panel)

    def _lay_down_above(self, kind: type[AskPanel]) -> None:
        """Close what stands over a sheet of this kind, when there is one."""
        found = [panel for panel in self._page.findChildren(kind) if not panel.isHidden()]
        while found and self._page.standing_over is not found[-1]:
            above = self._page.standing_over
            assert isinstance(above, AskPanel)
            above.lay_down()
            self._let_go(above)
        if found:
            self.panel = found[-1]

    def _on_hand_out(self, panel: HandOutPanel, to: To) -> None:
        name = machine_name(panel.choices, to.machine_id)
        self._presenter.acts.hand_out(panel.choices.aid_id, to, name, panel.really_at.moment)

    def _number(self, page: AidPage, really_at: datetime | None) -> None:
        title, unit = number_words(page)
        panel = NumberPanel(title, unit, "Count it", self._now, so_far(page))
        panel.really_at.set_moment(really_at)
        panel.entered.connect(
            lambda number: self._presenter.acts.count(page.aid.id, number, panel.really_at.moment)
        )
        self._open(panel)

    def _check(self, page: AidPage) -> None:
        title = f"Until which count may {page.row.tag} be used?"
        panel = NumberPanel(title, page.row.unit, "Checked", self._now, so_far(page))
        panel.entered.connect(
            lambda number: self._presenter.acts.check(page.aid.id, number, panel.really_at.moment)
        )
        self._open(panel)

    def _correct(self, page: AidPage) -> None:
        title = f"What is the count of {page.row.tag} really?"
        panel = NumberPanel(title, page.row.unit, "Correct it", self._now, so_far(page))
        panel.entered.connect(
            lambda number: self._presenter.acts.correct(page.aid.id, number, panel.really_at.moment)
        )
        self._open(panel)

    def _aside(self, page: AidPage) -> None:
        kept = self._kept.get(f"aside {page.aid.id}")
        if kept is not None:
            self._open(kept)
            return
        panel = AsidePanel(page, self._now)
        panel.told.connect(
            lambda why: self._presenter.acts.set_aside(page.aid.id, why, panel.really_at.moment)
        )
        self._keep(f"aside {page.aid.id}", panel)

    def _shelf(self, page: AidPage) -> None:
        panel = ShelfPanel(page, self._now)
        panel.told.connect(
            lambda place: self._presenter.acts.to_shelf(page.aid.id, place, panel.really_at.moment)
        )
        self._open(panel)

    def _this_one(self, page: AidPage) -> None:
        panel = ThisOnePanel(page)
        panel.told.connect(
            lambda yes: self._presenter.acts.this_one(
                page.aid.id, page.row.tag, page.maybe_id or 0, page.maybe_tag, yes
            )
        )
        panel.see_button.clicked.connect(lambda _down=False: self._here.open_place("requests", page.maybe_id))
        self._open(panel)
