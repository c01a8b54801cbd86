"""What Shop settings do: show how the shop stands, keep what is changed, have work estimated again."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol, TypeVar

from printcrib.core.aids import Machine
from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Material
from printcrib.core.people import Person
from printcrib.core.printers import Nozzle, Printer, PrintProfile
from printcrib.core.records import Record
from printcrib.core.shop import Shift, ShopSettings
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.standing import Standing
from printcrib.services import edit_people, edit_printers, edit_shop
from printcrib.services.estimate_again import estimate_again
from printcrib.services.forget_learned import forget_learned
from printcrib.services.interfaces import Done, Shop
from printcrib.services.look_at_settings import SettingsPage, look_at_settings, typical_values
from printcrib.services.press import Press

T = TypeVar("T")
Work = Callable[[Shop, Press], Done[T]]

CONCERNS = frozenset(
    {
        "people",
        "printers",
        "nozzles",
        "print_profiles",
        "materials",
        "machines",
        "settings",
        "shifts",
        "closed_days",
        "unattended",
        "runs",
        "fresh_starts",
    }
)


@dataclass(frozen=True)
class Typical:
    """Print settings to fill in: the shop's own, beside the typical values.

    Attributes:
        printer: its name. material: its name, "every material" for none.
    """

    profile: PrintProfile
    typical: dict[str, float]
    printer: str
    material: str


class SettingsView(Protocol):
    """What the page can show."""

    def show_settings(self, page: SettingsPage) -> None:
        """How the shop stands."""
        ...

    def show_kept(self, kept: Kept) -> None:
        """Where the books are."""
        ...

    def ask_profile(self, typical: Typical) -> None:
        """Print settings to fill in."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def show_stale(self, error: StaleEdit, fresh: object) -> None:
        """Somebody else was first; `fresh` is the record (or the week) as it is now, None when it is gone."""
        ...

    def close_question(self) -> None:
        """The question is answered."""
        ...


class SettingsPresenter:
    """Stands between Shop settings and the use cases."""

    def __init__(self, standing: Standing, view: SettingsView) -> None:
        self._standing, self._view = standing, view
        self._estimating = False
        self._estimating_work: Any = None
        self._estimate_once_more = False

    @property
    def today(self) -> date:
        """The date on the shop's wall."""
        return self._standing.local(self._standing.now()).date()

    @property
    def standing(self) -> Standing:
        """Who stands here, and the strip."""
        return self._standing

    def load(self) -> None:
        """Read how the shop stands, and where its books are."""
        self._standing.look(look_at_settings, self._view.show_settings)
        keepers = self._standing.keepers
        if keepers is not None:
            self._standing.look(lambda _shop: keepers.look(), self._view.show_kept)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def keep_person(self, person: Person) -> None:
        """Add a person, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Person]:
            if person.id:
                return edit_people.change_person(shop, press, person)
            new = edit_people.NewPerson(name=person.name, badge=person.badge, roles=person.roles)
            return edit_people.add_person(shop, press, new)

        self._act(work, lambda kept: f"{kept.name} is kept.")

    def set_pin(self, person: Person, pin: str) -> None:
        """Give a person a PIN; an empty one takes it away."""

        def work(shop: Shop, press: Press) -> Done[Person]:
            return edit_people.set_pin(shop, press, person.id, pin)

        self._act(work, f"{person.name} has a new PIN." if pin else f"{person.name} needs no PIN any more.")

    def keep_printer(self, printer: Printer) -> None:
        """Add a printer, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Printer]:
            if printer.id:
                return edit_printers.change_printer(shop, press, printer)
            return edit_printers.add_printer(shop, press, printer)

        self._act(work, lambda kept: f"{kept.name} is kept.", estimates=True)

    def ask_profile(self, printer: Printer, profile: PrintProfile, material: str) -> None:
        """Begin to change how a printer prints with a bore and a material."""

        def read(shop: Shop) -> Typical:
            typical = typical_values(shop, profile.bore_um, profile.material_id)
            return Typical(profile, typical, printer.name, material)

        self._standing.look(read, self._view.ask_profile)

    def keep_profile(self, profile: PrintProfile) -> None:
        """Keep how a printer prints with a bore and a material; no value of its own is typical."""

        def work(shop: Shop, press: Press) -> Done[PrintProfile]:
            return edit_printers.set_profile(
                shop,
                press,
                profile.printer_id,
                profile.bore_um,
                profile.values,
                profile.material_id,
                profile.version,
            )

        self._act(work, "The print settings are kept.", estimates=True)

    def add_nozzles(self, new: edit_printers.NewNozzle, count: int) -> None:
        """Add nozzles of one kind."""

        def work(shop: Shop, press: Press) -> Done[tuple[Nozzle, ...]]:
            return edit_printers.add_nozzles(shop, press, new, count)

        def said(made: tuple[Nozzle, ...]) -> str:
            return f"Added {', '.join(edit_printers.nozzle_words(nozzle) for nozzle in made)}."

        self._act(work, said, estimates=True)

    def keep_nozzle(self, nozzle: Nozzle) -> None:
        """Keep which printer a nozzle is for, whether it is hardened or retired."""
        words = edit_printers.nozzle_words(nozzle)
        self._act(
            lambda shop, press: edit_printers.change_nozzle(shop, press, nozzle),
            f"{words} is retired." if nozzle.retired else f"{words} is kept.",
            estimates=True,
        )

    def keep_week(self, shifts: Iterable[Shift], seen: tuple[Shift, ...]) -> None:
        """Keep when somebody is in, all of the week."""
        wanted = tuple(shifts)
        self._act(
            lambda shop, press: edit_shop.set_shifts(shop, press, wanted, seen),
            "The hours are kept. The run sheet follows within a minute.",
        )

    def close_days(self, days: tuple[date, ...], words: str) -> None:
        """Close the shop on days."""
        self._act(
            lambda shop, press: edit_shop.close_on_days(shop, press, days, words),
            f"Closed on {_days(len(days))}. The run sheet follows within a minute.",
        )

    def open_day(self, closed_day_id: int, words: str) -> None:
        """Open the shop again on a day."""
        self._act(
            lambda shop, press: edit_shop.open_on(shop, press, closed_day_id), f"Open again on {words}."
        )

    def keep_material(self, material: Material) -> None:
        """Add a material, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Material]:
            if material.id:
                return edit_shop.change_material(shop, press, material)
            return edit_shop.add_material(shop, press, material)

        self._act(work, lambda kept: f"{kept.name} is kept.", estimates=True)

    def keep_machine(self, machine: Machine) -> None:
        """Add a machine, or keep the changes to one."""

        def work(shop: Shop, press: Press) -> Done[Machine]:
            if machine.id:
                return edit_shop.change_machine(shop, press, machine)
            return edit_shop.add_machine(shop, press, machine.name)

        self._act(work, lambda kept: f"{kept.name} is kept.")

    def answer_unattended(self, printer_id: int, material_id: int, allowed: bool, words: str) -> None:
        """The lead answers whether prints run when nobody is in."""
        self._act(
            lambda shop, press: edit_printers.answer_unattended(
                shop, press, printer_id, material_id, allowed
            ),
            f"{words} may run when nobody is in." if allowed else f"{words} runs only while somebody is in.",
        )

    def forget_learned(self, printer_id: int, bore_um: int, words: str) -> None:
        """The lead has what was learned of a printer and nozzle forgotten."""
        self._act(
            lambda shop, press: forget_learned(shop, press, printer_id, bore_um),
            f"What was learned of {words} is forgotten.",
        )

    def keep_numbers(self, settings: ShopSettings) -> None:
        """Keep the numbers of the shop."""
        self._act(
            lambda shop, press: edit_shop.change_settings(shop, press, settings),
            "The numbers of the shop are kept.",
            estimates=True,
        )

    def back_up(self) -> None:
        """Copy the books now."""
        keepers = self._standing.keepers
        if keepers is not None:
            self._standing.look(lambda _shop: keepers.back_up(), self._on_backup, words="Making a backup")

    def set_dark(self, dark: bool) -> None:
        """Make the window dark or light."""
        if self._standing.keepers is not None:
            self._standing.keepers.set_dark(dark)

    @property
    def dark(self) -> bool:
        """Whether the window is dark."""
        return self._standing.keepers is not None and self._standing.keepers.dark

    def estimate_again(self) -> None:
        """Have the estimates of all open work brought to the present settings; one at a time."""
        if self._estimating and not getattr(self._estimating_work, "cancelled", False):
            self._estimate_once_more = True
            return
        self._estimating = True
        self._estimating_work = self._standing.background.read(
            _estimate,
            self._standing.shop,
            self._standing.press(),
            done=self._on_estimated,
            failed=self._on_not_estimated,
            words="Estimating open work again",
        )

    def _act(self, work: Work[T], said: str | Callable[[T], str], *, estimates: bool = False) -> None:
        def then(_kept: T) -> None:
            self._view.close_question()
            self.load()
            if estimates:
                self.estimate_again()

        undone = self.estimate_again if estimates else None
        self._standing.act(work, said, then=then, failed=self._on_refused, undone=undone)

    def _on_refused(self, error: ShopError) -> None:
        if not isinstance(error, StaleEdit):
            self._view.show_refusal(error)
            return

        def show(page: SettingsPage) -> None:
            self._view.show_settings(page)
            self._view.show_stale(error, fresh_of(page, error.typed))

        self._standing.look(look_at_settings, show)

    def _on_backup(self, name: str) -> None:
        self._standing.messages.say(f"Backup {name} is made and checked.", icon="save")
        self.load()

    def _on_estimated(self, done: Done[tuple[str, ...]]) -> None:
        self._estimating = False
        if done.value:
            self._standing.messages.problem(done.value[0])
        if self._estimate_once_more:
            self._estimate_once_more = False
            self.estimate_again()

    def _on_not_estimated(self, error: ShopError) -> None:
        self._estimating = self._estimate_once_more = False
        self._standing.messages.problem(error)


def _estimate(
    shop: Shop,
    press: Press,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Done[tuple[str, ...]]:
    return estimate_again(shop, press, progress, cancelled, in_worker=True)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def fresh_of(page: SettingsPage, typed: object) -> object:
    """What stands in the books where something else was typed; None when it is gone."""
    if isinstance(typed, tuple):
        return page.shifts
    found: Iterable[Record] = (
        *(line.person for line in page.people),
        *(line.printer for line in page.printers),
        *(profile.profile for line in page.printers for profile in line.profiles),
        *(line.nozzle for line in page.nozzles),
        *page.materials,
        *page.machines,
        *((page.settings,) if page.settings is not None else ()),
    )
    key: Any = getattr(typed, "id", None)
    return next((each for each in found if type(each) is type(typed) and each.id == key), None)
