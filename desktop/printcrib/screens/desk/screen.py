"""The place "Desk": the next hands-on step, a row for every printer, three short lists."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout

from printcrib.screens.desk.bench_panel import BenchPanel, JudgePanel
from printcrib.screens.desk.forms import StartForm, TakeOffForm
from printcrib.screens.desk.picks import key_of
from printcrib.screens.desk.presenter import DeskPresenter, Seen
from printcrib.screens.desk.printer_panel import ByHand, FitPanel, LoadPanel, PrinterPanel, run_to_save
from printcrib.screens.desk.printer_sheet import PrinterSheet
from printcrib.screens.desk.side_column import SideColumn
from printcrib.screens.desk.start_panel import StartPanel
from printcrib.screens.desk.step_card import StepCard
from printcrib.screens.desk.stop_panel import StopPanel
from printcrib.screens.desk.take_off_panel import TakeOffPanel
from printcrib.screens.desk.words import Card, SideList
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.pick_file import RunPlaces
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.shell.run_files import RunFiles
from printcrib.screens.shell.standing import Standing
from printcrib.services.give_print_file import RunFile
from printcrib.services.look_at_copies import CopiesAtDesk
from printcrib.services.look_at_desk import DeskPrinter
from printcrib.services.look_at_run import RunPage
from printcrib.services.look_at_start import BeforeStart, OnPrinter
from printcrib.services.stop_run import Stopped

LOOK_EVERY_MS = 30_000
"""Time left and the next swap move with the clock."""

SIDE_NARROW, SIDE_WIDE = 292, 376


class DeskPage(PageFrame):
    """What hands have to do next, at which printer, by when."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Desk",
            heading=False,
            unseen=[
                Action("do", "Do it", lambda: self._on_do(), shortcut="Ctrl+Return"),
                Action("not", "Not so", lambda: self._presenter.not_so(), shortcut="Ctrl+Shift+Return"),
            ],
        )
        self._at = standing
        self._presenter = DeskPresenter(standing, self)
        self._files = RunFiles(standing, RunPlaces(self))
        self._panel: AskPanel | None = None
        self._card: Card | None = None
        self.card = StepCard(ReallyAt(self._now))
        self.sheet = PrinterSheet()
        self.side = SideColumn()
        self.card.pressed.connect(self._presenter.press)
        self.card.not_so_pressed.connect(self._presenter.not_so)
        self.card.really_at.changed.connect(self._on_really_at)
        self.sheet.printer_pressed.connect(self._presenter.ask_printer)
        self.side.followed.connect(self._presenter.follow)
        self._lay_out()
        self._clock = QTimer(self, interval=LOOK_EVERY_MS)
        self._clock.timeout.connect(self._presenter.look)
        self._clock.start()
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    @property
    def panel(self) -> AskPanel | None:
        """The sheet that asks something now."""
        return self._panel

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.look()

    def refresh(self, things: frozenset[str]) -> None:
        """Also while another place is open: the strip tells the next swap."""
        if self._presenter.concerns(things):
            self._presenter.look()

    def go_to(self, key: int) -> None:
        """Serve a printer; another place led here."""
        self._presenter.serve(key)

    # What the presenter shows and asks.

    def show_desk(self, seen: Seen, card: Card, lists: tuple[SideList, ...]) -> None:
        """The step card, a row for every printer, the side lists."""
        self._card = card
        self.card.set_card(card)
        self.sheet.set_printers(seen.desk.printers)
        self.side.set_lists(lists)

    def ask_take_off(self, page: RunPage, choices: OnPrinter, sentence: str) -> None:
        """Copy by copy, with minutes and grams."""
        panel = TakeOffPanel(page, choices, sentence, self._now)
        panel.really_at.set_moment(self._presenter.really_at)

        def told(form: TakeOffForm, really_at: datetime | None) -> None:
            self._presenter.acts.take_off(page.run.id, form.told(), really_at)

        panel.told.connect(told)
        self._open(panel)

    def ask_start(self, before: BeforeStart, refusal: str) -> None:
        """What is really on the printer."""
        panel = StartPanel(before, refusal, self._now)
        panel.really_at.set_moment(self._presenter.really_at)
        printer, run = before.printer, before.run

        def told(form: StartForm, really_at: datetime | None) -> None:
            self._presenter.acts.start(printer.id, printer.name, form.told(), really_at)

        panel.told.connect(told)
        panel.print_file_wanted.connect(lambda: self._files.save_3mf(run.id, run.number))
        panel.print_file_given.connect(lambda path: self._presenter.read_print_file(run.id, path))
        self._open(panel)

    def take_file(self, run_id: int, file: RunFile) -> None:
        """The print file of a run was read, unless its sheet is gone meanwhile."""
        if isinstance(self._panel, StartPanel) and self._panel.form.before.run.id == run_id:
            self._panel.take_file(file)

    def ask_printer(self, printer: DeskPrinter, choices: OnPrinter) -> None:
        """All that can be done at one printer."""
        steps = None if self._card is None else self._card.steps_at
        served = steps is not None and steps.printer_id == printer.printer.id
        panel = PrinterPanel(printer, choices, self._now, served=served)
        panel.wanted.connect(lambda what: self._on_wanted(what, printer, choices))

        def told(by_hand: ByHand, really_at: datetime | None) -> None:
            self._presenter.acts.run_by_hand(
                printer.printer.id,
                printer.printer.name,
                by_hand.free_again_at,
                spool_id=by_hand.spool_id,
                what=by_hand.name,
                really_at=really_at,
            )

        panel.by_hand_told.connect(told)
        self._open(panel)

    def ask_stop(self, stopped: Stopped, page: RunPage) -> None:
        """How far it got, and what stopping loses."""
        panel = StopPanel(stopped, page, self._now)
        panel.share_changed.connect(lambda share: self._presenter.loss_at(page.run.id, share))
        panel.told.connect(
            lambda percent, cause, at: self._presenter.acts.stop(page.run.id, percent, cause, at)
        )
        self._open(panel)

    def show_loss(self, words: str) -> None:
        """What stopping at another share would lose."""
        if isinstance(self._panel, StopPanel):
            self._panel.show_loss(words)

    def ask_bench(self, copies: CopiesAtDesk) -> None:
        """Copies to check, to finish, to hand out."""
        if isinstance(self._panel, BenchPanel):
            self._panel.set_copies(copies)
            return
        acts = self._presenter.acts
        panel = BenchPanel(copies)
        panel.finished.connect(lambda one: acts.finish(one.copy_id, one.tag, one.step))
        panel.all_finished.connect(
            lambda: acts.finish_all(tuple(one.copy_id for one in panel.copies.to_finish if one.step))
        )
        panel.handed_out.connect(lambda one: acts.hand_out(one.copy_id, one.aid_tag or one.tag, one.to))
        panel.shelved.connect(lambda one: acts.shelve(one.copy_id, one.aid_tag or one.tag))
        panel.led_to.connect(self._on_led)
        panel.judge_wanted.connect(lambda: self._ask_judge(panel.copies))
        self._open(panel)

    def booked(self) -> None:
        """A press was booked: what asked for it goes away, "really at" is now again."""
        self._close()
        self.card.really_at.clear()

    def refused(self, sentence: str) -> bool:
        """Say it on the sheet that asks, where there is one."""
        if self._panel is None:
            return False
        top = self.standing_over
        (top if isinstance(top, AskPanel) else self._panel).set_error(sentence)
        return True

    # What is pressed.

    def _on_do(self) -> None:
        """Its shortcut; not for words that only just changed."""
        if self.card.main_button.settled:
            self._presenter.press()

    def _on_really_at(self, moment: datetime | None) -> None:
        self._presenter.really_at = moment

    def _on_led(self, place_id: str, key: int) -> None:
        self._close()
        self._presenter.open_place(place_id, key)

    def _on_wanted(self, what: str, printer: DeskPrinter, choices: OnPrinter) -> None:
        """A button of the printer's sheet; what it asks next stands instead of it."""
        self._close()
        key, presenter = printer.printer.id, self._presenter
        run_id = printer.run.run_id if printer.run else 0
        planned = next((each.run_id for each in printer.next_runs), None)
        calls: dict[str, Callable[[], None]] = {
            "serve": lambda: presenter.serve(key),
            "start": lambda: presenter.ask_start(key),
            "take off": lambda: presenter.ask_take_off(run_id),
            "stop": lambda: presenter.ask_stop(run_id),
            "fit": lambda: self._ask_fit(choices),
            "load": lambda: self._ask_load(choices),
            "run sheet": lambda: presenter.open_place("run_sheet", planned),
            "3mf": lambda: self._save(printer, as_folder=False),
            "folder": lambda: self._save(printer, as_folder=True),
        }
        calls[what]()

    def _save(self, printer: DeskPrinter, *, as_folder: bool) -> None:
        wanted = run_to_save(printer)
        if wanted is not None:
            (self._files.save_folder if as_folder else self._files.save_3mf)(*wanted)

    def _ask_fit(self, choices: OnPrinter) -> None:
        panel = FitPanel(choices)

        def picked(chosen: str) -> None:
            nozzle_id = key_of(chosen)
            if nozzle_id is not None:
                self._presenter.acts.fit(choices.printer.id, nozzle_id)

        panel.picked.connect(picked)
        self._open(panel)

    def _ask_load(self, choices: OnPrinter) -> None:
        panel = LoadPanel(choices, self._now)
        panel.told.connect(
            lambda spool_id, empty, at: self._presenter.acts.load(
                choices.printer.id, spool_id, old_is_empty=empty, really_at=at
            )
        )
        self._open(panel)

    def _ask_judge(self, copies: CopiesAtDesk) -> None:
        self._close()
        panel = JudgePanel(copies.to_check, self._now)
        panel.told.connect(self._presenter.acts.judge)
        self._open(panel)

    def _open(self, panel: AskPanel) -> None:
        self._close()
        self._panel = panel
        panel.backed.connect(self._close)
        panel.open_over(self)

    def _close(self) -> None:
        """The sheet goes away, with whatever stands over it."""
        panel, self._panel = self._panel, None
        if panel is None:
            return
        while isinstance(self.standing_over, AskPanel) and self.standing_over is not panel:
            over = self.standing_over
            over.lay_down()
            over.deleteLater()
        panel.lay_down()
        panel.deleteLater()

    def _now(self) -> datetime:
        return self._at.local(self._at.now())

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(14)
        row.addWidget(self.sheet, 1)
        row.addWidget(self.side)
        self._row = row
        self.body.addWidget(self.card)
        self.body.addLayout(row, 1)

    def _on_width(self, wide: bool) -> None:
        self.card.set_wide(wide)
        self.sheet.set_wide(wide)
        self.side.setFixedWidth(SIDE_WIDE if wide else SIDE_NARROW)
        self._row.setSpacing(24 if wide else 14)
