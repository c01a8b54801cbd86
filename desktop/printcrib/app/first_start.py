"""The first start: a window that asks how to begin, and gives the place of the shop that was chosen."""

from datetime import datetime

from PySide6.QtCore import QEventLoop, QObject, QTimeZone, Signal
from PySide6.QtWidgets import QApplication

from printcrib.app import begin_shop
from printcrib.app.resources import resource_folder
from printcrib.app.workers import Workers
from printcrib.core.calendar import PLAIN_ZONE, wall_zones
from printcrib.core.errors import ShopError
from printcrib.screens.set_up.presenter import FORM_KEY, Beginnings, StartPresenter
from printcrib.screens.set_up.screen import SetUpPage
from printcrib.screens.set_up.start_page import StartPage
from printcrib.screens.set_up.window import StartWindow
from printcrib.screens.shell.background import Background
from printcrib.screens.shell.memory import Memory
from printcrib.screens.shell.theme import Theme
from printcrib.services.interfaces import Worker

KEPT = "Your set-up is as you left it."
WELCOME = "F1 opens the handbook at the page you see."
BEGUN = "Kept on this PC while you fill it in."


def beginnings() -> Beginnings:
    """The ways a shop can begin on this PC."""
    zones = wall_zones()
    here = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
    return Beginnings(
        make_demo=begin_shop.make_demo,
        make_own=begin_shop.make_own,
        open_existing=begin_shop.open_existing,
        place_fault=begin_shop.place_fault,
        materials=begin_shop.shipped_materials(),
        zones=zones,
        zone=here if here in zones else PLAIN_ZONE,
        place=str(begin_shop.free_folder()),
        demo_is_here=begin_shop.demo_is_here(),
    )


class FirstStart(QObject):
    """The window of the first start with its two pages.

    Args:
        begin: the ways to begin. worker: does the making.
        trouble: why the shop opened last did not open, said at once.

    Signals:
        over(): a shop was chosen (`place`), or the window was closed ("").
    """

    over = Signal()

    def __init__(
        self,
        theme: Theme,
        memory: Memory,
        begin: Beginnings,
        worker: Worker,
        *,
        trouble: ShopError | None = None,
    ) -> None:
        super().__init__()
        self.place = ""
        self._begin, self._memory = begin, memory
        self.window = StartWindow(theme, memory, lambda: datetime.now().astimezone(), self._open_handbook)
        strip = self.window.strip
        self.background = Background(worker, worker, strip, self)
        self.start_page = StartPage(demo_is_here=begin.demo_is_here)
        self._starting = StartPresenter(
            begin,
            self.background,
            chosen=self._on_chosen,
            show_busy=self.start_page.show_busy,
            refused=self.start_page.show_refusal,
        )
        self._set_up: SetUpPage | None = None
        self.start_page.own_wanted.connect(self.open_set_up)
        self.start_page.demo_wanted.connect(self._starting.make_demo)
        self.start_page.place_wanted.connect(self._starting.open_existing)
        strip.work_over.connect(self._starting.work_over)
        self.window.closing.connect(self._on_closing)
        self.window.show_page(self.start_page, steps=False)
        if trouble is not None:
            strip.problem(trouble)
        elif memory.text(FORM_KEY):
            self.open_set_up()
        else:
            strip.say(WELCOME, icon="handbook")

    @property
    def set_up(self) -> SetUpPage:
        """The page of the own shop, made when first asked for."""
        if self._set_up is None:
            page = SetUpPage(self._begin, self.background, self.window.strip, self._memory)
            page.begun_at.connect(self._on_chosen)
            page.left.connect(self._on_left)
            page.steps_changed.connect(self.window.side.set_step)
            self.window.side.step_pressed.connect(page.jump)
            self.window.strip.work_over.connect(page.work_over)
            self._set_up = page
        return self._set_up

    def open_set_up(self) -> None:
        """Show the set-up at the step where it was left."""
        page = self.set_up
        self.window.show_page(page, steps=True)
        page.go_to(page.step)
        self.window.strip.say(KEPT if page.was_kept else BEGUN)

    def _on_left(self) -> None:
        self.start_page.set_kept(bool(self._memory.text(FORM_KEY)))
        self.window.show_page(self.start_page, steps=False)
        if self.start_page.main_button is not None:
            self.start_page.main_button.setFocus()

    def _on_chosen(self, place: str) -> None:
        self.place = place
        self.over.emit()

    def _on_closing(self) -> None:
        self.background.cancel_all()
        self.over.emit()

    def _open_handbook(self) -> None:
        from printcrib.screens.handbook.screen import HandbookPanel

        page = self.window.front
        name = "set_up" if page is self._set_up else "start"
        HandbookPanel((resource_folder() / "handbook" / f"{name}.md").read_text("utf-8")).open_over(page)


def run_first_start(
    app: QApplication, theme: Theme, memory: Memory, *, trouble: ShopError | None = None
) -> str:
    """Ask how to begin; the place of the shop that was chosen, "" when the window was closed.

    Args:
        trouble: why the shop opened last did not open.
    """
    worker = Workers(threads=2, processes=1, name="first-start")
    quits = app.quitOnLastWindowClosed()
    app.setQuitOnLastWindowClosed(False)
    first = FirstStart(theme, memory, beginnings(), worker, trouble=trouble)
    loop = QEventLoop()
    first.over.connect(loop.quit)
    first.window.show()
    loop.exec()
    first.window.hide()
    memory.put_geometry(first.window)
    worker.close()
    place = first.place
    first.window.deleteLater()
    first.deleteLater()
    app.setQuitOnLastWindowClosed(quits)
    return place
