"""The first start without a window: what can be begun, and the set-up from step to step."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.screens.set_up.faults import SHOP, STEPS, Faults, faults_of
from printcrib.screens.set_up.form import Form, from_text, set_up_of, to_text
from printcrib.screens.shell.standing import BackgroundWork
from printcrib.services.set_up_shop import SetUp


@dataclass(frozen=True, kw_only=True)
class Beginnings:
    """The ways a shop can begin here, wired by the application; each gives the place of the shop.

    Attributes:
        make_demo: takes nothing but `progress` and `cancelled`; works in a process of its own.
        make_own: takes place and set-up. open_existing: takes a folder or an address.
        place_fault: why no shop can begin at a place, "" when it can; quick.
        materials: the shipped table. zones: IANA names.
        zone, place: what this PC suggests.
        demo_is_here: whether the demo shop was made before.
    """

    make_demo: Callable[..., str]
    make_own: Callable[[str, SetUp], str]
    open_existing: Callable[[str], str]
    place_fault: Callable[[str], str]
    materials: tuple[Material, ...]
    zones: tuple[str, ...]
    zone: str
    place: str
    demo_is_here: bool = False


class Kept(Protocol):
    """What is remembered over a restart; the window's memory is one."""

    def text(self, key: str, otherwise: str = "") -> str:
        """A remembered word, or the other one."""
        ...

    def put(self, key: str, text: str) -> None:
        """Remember a word."""
        ...


FORM_KEY, STEP_KEY = "set_up/form", "set_up/step"


class StartPresenter:
    """The choice: demo shop, own shop, or one that is there already.

    Args:
        chosen: told the place of the shop that was made or opened.
        show_busy: told whether something is being made now.
        refused: told why a shop was not opened.
    """

    def __init__(
        self,
        begin: Beginnings,
        work: BackgroundWork,
        *,
        chosen: Callable[[str], None],
        show_busy: Callable[[bool], None],
        refused: Callable[[ShopError], None],
    ) -> None:
        self._begin, self._work = begin, work
        self._chosen, self._show_busy, self._refused = chosen, show_busy, refused
        self._busy = False

    @property
    def busy(self) -> bool:
        """Whether something is being made or opened now."""
        return self._busy

    def make_demo(self) -> None:
        """Make the demo shop in the background, or open the one made before."""
        words = "Opening the demo shop" if self._begin.demo_is_here else "Making the demo shop"
        if self._starts():
            self._work.read(self._begin.make_demo, done=self._chosen, words=words, process=True)

    def open_existing(self, place: str) -> None:
        """Open the shop in a folder or at an address."""
        if self._starts():
            self._work.read(
                self._begin.open_existing,
                place.strip(),
                done=self._chosen,
                failed=self._refused,
                words="Opening the shop",
            )

    def work_over(self) -> None:
        """What was under way came to its end, was refused, or was cancelled."""
        self._busy = False
        self._show_busy(False)

    def _starts(self) -> bool:
        if self._busy:
            return False
        self._busy = True
        self._show_busy(True)
        return True


class SetUpView(Protocol):
    """What the presenter needs of the set-up page."""

    def show_form(self, form: Form) -> None:
        """Show what is filled in."""
        ...

    def show_faults(self, faults: Faults) -> None:
        """Say beside each field what is missing, and nothing beside the others."""
        ...

    def go_to(self, step: int) -> None:
        """Show a step."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Say why the shop was not set up."""
        ...

    def begun(self, place: str) -> None:
        """The shop is set up."""
        ...


class SetUpPresenter:
    """Keeps the form while it is filled in, and makes the shop at the end."""

    def __init__(self, begin: Beginnings, work: BackgroundWork, view: SetUpView, kept: Kept) -> None:
        self._begin, self._work, self._view, self._kept = begin, work, view, kept
        known = from_text(kept.text(FORM_KEY))
        self.was_kept = known is not None
        self.form = known or Form(zone=begin.zone, place=begin.place)
        self._reached = min(len(STEPS) - 1, _number(kept.text(STEP_KEY))) if known else 0
        self._at = self._reached
        self._asked: set[int] = set()
        self._making = False

    @property
    def materials(self) -> Sequence[Material]:
        """The shipped table."""
        return self._begin.materials

    @property
    def reached(self) -> int:
        """The furthest step that may be shown."""
        return self._reached

    @property
    def at(self) -> int:
        """The step shown."""
        return self._at

    def change(self, form: Form) -> None:
        """Somebody filled something in; it is remembered at once."""
        self.form = form
        self._kept.put(FORM_KEY, to_text(form))
        self._kept.put(STEP_KEY, str(self._at))
        self._view.show_form(form)
        if self._at in self._asked:
            self._view.show_faults(self._faults(self._at))

    def moved(self, step: int) -> None:
        """Another step is shown."""
        self._at = step
        self._reached = max(self._reached, step)
        self._kept.put(STEP_KEY, str(step))

    def may_leave(self, step: int) -> bool:
        """Whether a step is answered; what is missing is said beside it."""
        self._asked.add(step)
        faults = self._faults(step)
        self._view.show_faults(faults)
        return not faults

    def jump(self, step: int) -> None:
        """Show a step reached before; forward only over answered ones."""
        passed = range(self._at, step)
        if step <= self._reached and all(self.may_leave(each) for each in passed):
            self._view.go_to(step)

    def make(self) -> None:
        """Set the shop up; the first step with something missing is shown instead."""
        for step in range(len(STEPS)):
            if not self.may_leave(step):
                self._view.go_to(step)
                return
        if self._making:
            return
        self._making = True
        self._work.read(
            self._begin.make_own,
            self.form.place.strip(),
            set_up_of(self.form, self._begin.materials),
            done=self._made,
            failed=self._refused,
            words="Setting up the shop",
        )

    def work_over(self) -> None:
        """The making was cancelled or came to its end."""
        self._making = False

    def _made(self, place: str) -> None:
        self._kept.put(FORM_KEY, "")
        self._kept.put(STEP_KEY, "")
        self._view.begun(place)

    def _refused(self, error: ShopError) -> None:
        self._making = False
        self._view.show_refusal(error)

    def _faults(self, step: int) -> Faults:
        return faults_of(step, self.form, self._begin.place_fault)


def _number(text: str) -> int:
    return int(text) if text.isdigit() else SHOP
