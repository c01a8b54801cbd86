"""What Shop settings do, without a window."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import pytest
from tests.screens.fakes import FakeMessages, FakeTask
from tests.screens.shop_settings.conftest import FakeKeepers
from tests.services.own_shop import Own

from printcrib.core.aids import Machine
from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.materials import Material
from printcrib.core.people import Person, Role
from printcrib.core.printers import Printer, PrintProfile
from printcrib.core.shop import Shift
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shop_settings.presenter import SettingsPresenter, Typical
from printcrib.services.edit_printers import NewNozzle, change_printer
from printcrib.services.edit_shop import set_shifts
from printcrib.services.look_at_settings import SettingsPage


@dataclass
class FakeView:
    """Remembers what it was told to show."""

    pages: list[SettingsPage] = field(default_factory=list)
    kept: list[Kept] = field(default_factory=list)
    asked: list[Typical] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    stale: list[tuple[StaleEdit, object]] = field(default_factory=list)
    closed: int = 0

    def show_settings(self, page: SettingsPage) -> None:
        self.pages.append(page)

    def show_kept(self, kept: Kept) -> None:
        self.kept.append(kept)

    def ask_profile(self, typical: Typical) -> None:
        self.asked.append(typical)

    def show_refusal(self, error: ShopError) -> None:
        self.refusals.append(str(error))

    def show_stale(self, error: StaleEdit, fresh: object) -> None:
        self.stale.append((error, fresh))

    def close_question(self) -> None:
        self.closed += 1


@dataclass
class Held:
    """A background that keeps what is read until it is let go; changes are done at once."""

    inner: Any
    waiting: list[Callable[[], None]] = field(default_factory=list)
    tasks: list[FakeTask] = field(default_factory=list)

    def read(self, *args: Any, **told: Any) -> FakeTask:
        self.waiting.append(lambda: self.inner.read(*args, **told))
        self.tasks.append(FakeTask())
        return self.tasks[-1]

    def change(self, *args: Any, **told: Any) -> None:
        self.inner.change(*args, **told)


@pytest.fixture
def view() -> FakeView:
    return FakeView()


@pytest.fixture
def standing(stand: Callable[[str], Standing]) -> Standing:
    return stand("Lea")


@pytest.fixture
def presenter(standing: Standing, view: FakeView) -> SettingsPresenter:
    made = SettingsPresenter(standing, view)
    made.load()
    return made


def test_shows_how_the_shop_stands_and_where_its_books_are(
    presenter: SettingsPresenter, view: FakeView
) -> None:
    assert [line.name for line in view.pages[-1].people] == ["Dora", "Lea", "Max", "Otto", "Rita"]
    assert view.kept == [Kept("/shops/ours")]
    assert presenter.concerns(frozenset({"nozzles"}))
    assert not presenter.concerns(frozenset({"requests", "copies"}))


def test_people_are_added_and_changed(
    presenter: SettingsPresenter, view: FakeView, own: Own, messages: FakeMessages
) -> None:
    presenter.keep_person(Person(name="Nora", roles=(Role.DESK,)))
    assert messages.said[-1] == "Nora is kept."
    nora = next(line.person for line in view.pages[-1].people if line.name == "Nora")
    presenter.keep_person(replace(nora, active=False))
    assert not next(line for line in view.pages[-1].people if line.name == "Nora").active
    assert view.closed == 2
    presenter.set_pin(own.made.people["Max"], "2468")
    assert next(line for line in view.pages[-1].people if line.name == "Max").has_pin
    presenter.set_pin(own.made.people["Max"], "")
    assert messages.said[-2:] == ["Max has a new PIN.", "Max needs no PIN any more."]


def test_a_refusal_stands_beside_its_cause(
    stand: Callable[[str], Standing], view: FakeView, messages: FakeMessages
) -> None:
    presenter = SettingsPresenter(stand("Dora"), view)
    presenter.keep_person(Person(name="Nora"))
    assert view.refusals == ["Only the lead may add people. Ask the lead."]
    assert (view.closed, messages.said, messages.problems) == (0, [], [])


def test_a_stale_edit_brings_the_record_as_it_is_now(
    presenter: SettingsPresenter, view: FakeView, own: Own
) -> None:
    left = own.printer("Left")
    change_printer(own.shop, own.press("Dora"), replace(left, name="Near"))
    presenter.keep_printer(replace(left, height_mm=180.0))
    ((error, fresh),) = view.stale
    assert error.who == "Dora"
    assert isinstance(fresh, Printer)
    assert (fresh.name, fresh.version) == ("Near", left.version + 1)
    presenter.keep_printer(replace(fresh, height_mm=180.0))
    assert (own.printer("Left").name, own.printer("Left").height_mm) == ("Near", 180.0)


def test_a_stale_week_brings_the_week_as_it_is_now(
    presenter: SettingsPresenter, view: FakeView, own: Own
) -> None:
    seen = view.pages[-1].shifts
    monday = (Shift(weekday=0, opens="06:00", closes="14:00"),)
    set_shifts(own.shop, own.press("Lea"), monday)
    presenter.keep_week((Shift(weekday=1, opens="06:00", closes="14:00"),), seen)
    ((_error, fresh),) = view.stale
    assert isinstance(fresh, tuple)
    assert [(shift.weekday, shift.opens) for shift in fresh] == [(0, "06:00")]
    presenter.keep_week((Shift(weekday=1, opens="06:00", closes="14:00"),), fresh)
    assert [shift.weekday for shift in view.pages[-1].shifts] == [1]


def test_printers_nozzles_and_profiles_have_open_work_estimated_again(
    presenter: SettingsPresenter, view: FakeView, own: Own, standing: Standing, messages: FakeMessages
) -> None:
    held = Held(standing.background)
    presenter.keep_printer(Printer(name="Third"))
    standing.background = held
    left = own.printer("Left")
    presenter.add_nozzles(NewNozzle(bore_um=400), 2)
    assert messages.said[-1] == "Added 0.4 (N-5), 0.4 (N-6)."
    estimates = list(held.waiting)
    assert len(estimates) == 3, "the page, the books, and the estimates"
    presenter.keep_profile(PrintProfile(printer_id=left.id, bore_um=400, values={"walls": 4}))
    assert len(held.waiting) == 5, "one estimating at a time"
    estimates[2]()
    assert len(held.waiting) == 6, "once more for what changed meanwhile"
    held.waiting[5]()
    assert len(held.waiting) == 6


def test_estimating_begins_anew_after_somebody_cancelled_it(
    presenter: SettingsPresenter, standing: Standing
) -> None:
    held = Held(standing.background)
    standing.background = held
    presenter.estimate_again()
    held.tasks[0].cancel()
    presenter.estimate_again()
    assert len(held.waiting) == 2


def test_print_settings_are_asked_beside_the_typical_ones(
    presenter: SettingsPresenter, view: FakeView, own: Own
) -> None:
    left = own.printer("Left")
    presenter.ask_profile(left, PrintProfile(printer_id=left.id, bore_um=600), "every material")
    (asked,) = view.asked
    assert (asked.printer, asked.material) == ("Left", "every material")
    assert asked.typical["layer_height_mm"] == 0.3
    presenter.keep_profile(replace(asked.profile, values={"walls": 4}))
    (line,) = next(each.profiles for each in view.pages[-1].printers if each.printer.name == "Left")
    assert list(line.values) == [("walls", 4.0, asked.typical["walls"])]
    presenter.keep_profile(replace(asked.profile, values={"walls": 5}))
    ((_error, fresh),) = view.stale
    assert fresh == line.profile, "somebody else was first to set them"


def test_troubles_of_estimating_are_told(
    presenter: SettingsPresenter, monkeypatch: pytest.MonkeyPatch, messages: FakeMessages
) -> None:
    from printcrib.screens.shop_settings import presenter as module
    from printcrib.services.interfaces import Done

    monkeypatch.setattr(module, "estimate_again", lambda *_told, **_named: Done(("The file is gone.",)))
    presenter.estimate_again()

    def broken(*_told: object, **_named: object) -> Done[tuple[str, ...]]:
        raise ShopError("The disk is full", "Make room.")

    monkeypatch.setattr(module, "estimate_again", broken)
    presenter.estimate_again()
    assert messages.problems == ["The file is gone.", "The disk is full. Make room."]


def test_days_are_closed_and_opened_again(
    presenter: SettingsPresenter, view: FakeView, messages: FakeMessages
) -> None:
    presenter.close_days((date(2026, 12, 24), date(2026, 12, 25)), "Christmas")
    closed = view.pages[-1].closed_days
    assert [(each.day, each.words) for each in closed] == [
        ("2026-12-24", "Christmas"),
        ("2026-12-25", "Christmas"),
    ]
    presenter.open_day(closed[0].id, "Thu 24 Dec")
    assert [each.day for each in view.pages[-1].closed_days] == ["2026-12-25"]
    assert messages.said == [
        "Closed on 2 days. The run sheet follows within a minute.",
        "Open again on Thu 24 Dec.",
    ]


def test_materials_machines_and_numbers_are_kept(
    presenter: SettingsPresenter, view: FakeView, own: Own, messages: FakeMessages
) -> None:
    presenter.keep_material(Material(name="PP", density=0.9, source="maker's sheet"))
    presenter.keep_material(replace(own.made.materials["PLA"], keep_below_c=50))
    assert {each.name: each.keep_below_c for each in view.pages[-1].materials}["PLA"] == 50
    presenter.keep_machine(Machine(name="Saw"))
    saw = next(each for each in view.pages[-1].machines if each.name == "Saw")
    presenter.keep_machine(replace(saw, name="Band saw"))
    assert "Band saw" in [each.name for each in view.pages[-1].machines]
    assert view.pages[-1].settings is not None
    presenter.keep_numbers(replace(view.pages[-1].settings, purge_mg=2500))
    assert view.pages[-1].settings.purge_mg == 2500
    assert messages.said[-1] == "The numbers of the shop are kept."


def test_the_lead_answers_whether_prints_run_alone(
    presenter: SettingsPresenter, view: FakeView, messages: FakeMessages
) -> None:
    line = next(each for each in view.pages[-1].unattended if not each.allowed)
    words = f"{line.material} on {line.printer}"
    presenter.answer_unattended(line.printer_id, line.material_id, True, words)
    presenter.answer_unattended(line.printer_id, line.material_id, False, words)
    assert messages.said == [
        f"{words} may run when nobody is in.",
        f"{words} runs only while somebody is in.",
    ]


def test_a_nozzle_is_kept_for_a_printer_or_retired(
    presenter: SettingsPresenter, view: FakeView, messages: FakeMessages
) -> None:
    loose = view.pages[-1].nozzles[-1].nozzle
    presenter.keep_nozzle(replace(loose, hardened=True))
    kept = view.pages[-1].nozzles[-1].nozzle
    presenter.keep_nozzle(replace(kept, retired=True))
    assert messages.said == ["0.8 hardened (N-4) is kept.", "0.8 hardened (N-4) is retired."]
    assert view.pages[-1].nozzles[-1].nozzle.retired


def test_a_backup_is_made_and_listed(
    presenter: SettingsPresenter, view: FakeView, messages: FakeMessages
) -> None:
    presenter.back_up()
    assert messages.said == ["Backup shop-1.db is made and checked."]
    assert view.kept[-1].backups == ("shop-1.db",)


def test_light_and_dark(presenter: SettingsPresenter, keepers: FakeKeepers) -> None:
    presenter.set_dark(True)
    assert (keepers.dark, presenter.dark) == (True, True)


def test_without_a_keeper_nothing_is_asked_of_it(
    standing: Standing, view: FakeView, messages: FakeMessages
) -> None:
    standing.keepers = None
    presenter = SettingsPresenter(standing, view)
    presenter.load()
    presenter.back_up()
    presenter.set_dark(True)
    assert (view.kept, messages.said, presenter.dark) == ([], [], False)


def test_undo_of_what_changes_estimates_estimates_again(
    presenter: SettingsPresenter, own: Own, standing: Standing, messages: FakeMessages
) -> None:
    presenter.keep_material(replace(own.made.materials["PLA"], density=1.3))
    held = Held(standing.background)
    standing.background = held
    back = messages.answers[-1]
    assert back is not None
    back.call()
    assert len(held.waiting) == 1
    with own.shop.read() as uow:
        assert uow.materials.get(own.material()).density == 1.24
