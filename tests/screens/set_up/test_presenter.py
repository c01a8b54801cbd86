"""The first start without a window."""

from dataclasses import dataclass, field, replace

from tests.screens.fakes import FakeMessages
from tests.screens.set_up.conftest import TAKEN, KeptWords, Made

from printcrib.core.errors import ShopError
from printcrib.screens.set_up.faults import PEOPLE, SHOP, Faults
from printcrib.screens.set_up.form import Form
from printcrib.screens.set_up.presenter import FORM_KEY, SetUpPresenter, StartPresenter
from printcrib.screens.shell.standing import StandingAlone


@dataclass
class View:
    """What a person would see."""

    form: Form | None = None
    faults: Faults = field(default_factory=dict)
    steps: list[int] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    places: list[str] = field(default_factory=list)

    def show_form(self, form: Form) -> None:
        self.form = form

    def show_faults(self, faults: Faults) -> None:
        self.faults = faults

    def go_to(self, step: int) -> None:
        self.steps.append(step)

    def show_refusal(self, error: ShopError) -> None:
        self.refusals.append(str(error))

    def begun(self, place: str) -> None:
        self.places.append(place)


def presenter(made: Made, view: View, kept: KeptWords) -> SetUpPresenter:
    return SetUpPresenter(made.beginnings(), StandingAlone(FakeMessages()), view, kept)


def test_what_is_filled_in_is_kept_over_a_restart(made: Made, kept: KeptWords, filled: Form) -> None:
    before = presenter(made, View(), kept)
    assert not before.was_kept
    assert (before.form.zone, before.form.place) == ("Europe/Vienna", "/shops/new")
    before.moved(PEOPLE)
    before.change(filled)
    after = presenter(made, View(), kept)
    assert after.was_kept
    assert (after.form, after.at, after.reached) == (filled, PEOPLE, PEOPLE)


def test_a_form_nobody_understands_begins_anew(made: Made, kept: KeptWords) -> None:
    kept.words = {FORM_KEY: "{}", "set_up/step": "5"}
    after = presenter(made, View(), kept)
    assert (after.was_kept, after.at) == (False, 0)


def test_a_step_is_left_when_it_is_answered(made: Made, kept: KeptWords) -> None:
    view = View()
    steps = presenter(made, view, kept)
    assert not steps.may_leave(SHOP)
    assert set(view.faults) == {"name"}
    steps.change(replace(steps.form, name="Miller"))
    assert view.faults == {}
    assert steps.may_leave(SHOP)


def test_forward_only_over_answered_steps(made: Made, kept: KeptWords, filled: Form) -> None:
    view = View()
    steps = presenter(made, view, kept)
    steps.change(filled)
    steps.moved(3)
    steps.moved(0)
    steps.jump(3)
    steps.jump(4)
    assert view.steps == [3]
    steps.change(replace(filled, name=""))
    steps.jump(2)
    assert view.steps == [3]
    assert set(view.faults) == {"name"}


def test_the_shop_is_made_and_the_form_forgotten(made: Made, kept: KeptWords, filled: Form) -> None:
    view = View()
    steps = presenter(made, view, kept)
    steps.change(filled)
    steps.make()
    assert view.places == ["/shops/miller"]
    assert made.shops["/shops/miller"].settings.name == "Miller Tooling"
    assert kept.text(FORM_KEY) == ""


def test_a_missing_answer_is_shown_at_the_end(made: Made, kept: KeptWords, filled: Form) -> None:
    view = View()
    steps = presenter(made, view, kept)
    steps.change(replace(filled, place=TAKEN))
    steps.make()
    assert view.steps == [SHOP]
    assert set(view.faults) == {"place"}
    assert made.shops == {}


def test_a_refusal_keeps_the_form(made: Made, kept: KeptWords, filled: Form) -> None:
    view = View()
    steps = presenter(made, view, kept)
    steps.change(filled)
    made.refusal = ShopError("The server does not answer", "Try later.")
    steps.make()
    assert view.refusals == ["The server does not answer. Try later."]
    assert kept.text(FORM_KEY)
    made.refusal = None
    steps.make()
    assert view.places == ["/shops/miller"]


def test_one_thing_is_made_at_a_time(made: Made) -> None:
    messages = FakeMessages()
    chosen: list[str] = []
    busy: list[bool] = []
    refused: list[str] = []
    start = StartPresenter(
        made.beginnings(),
        StandingAlone(messages),
        chosen=chosen.append,
        show_busy=busy.append,
        refused=lambda error: refused.append(str(error)),
    )
    start.make_demo()
    start.make_demo()
    start.open_existing("/shops/old")
    assert (chosen, made.demos) == (["/shops/demo"], 1)
    assert start.busy
    start.work_over()
    start.open_existing(" /shops/old ")
    assert chosen == ["/shops/demo", "/shops/old"]
    assert busy == [True, False, True]
    start.work_over()
    made.refusal = ShopError("There is no shop in /shops/old", "Choose its folder.")
    start.open_existing("/shops/old")
    assert refused == ["There is no shop in /shops/old. Choose its folder."]
