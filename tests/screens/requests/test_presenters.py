"""The list, one request and the form, each with a view that only remembers."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.screens.requests.shop import Stand
from tests.services.fake import TUESDAY_MORNING
from tests.services.own_shop import BOX, TOMORROW

from printcrib.core.advice import Rest
from printcrib.core.consequences import Consequence
from printcrib.core.errors import ShopError
from printcrib.core.patterns import Fineness
from printcrib.core.requests import CopyState, Purpose, Request, RequestState
from printcrib.screens.requests.columns import NozzleColumn
from printcrib.screens.requests.form import FILE, WORDS, Form
from printcrib.screens.requests.needed import PROGRAM, SOON
from printcrib.screens.requests.one_acts import acts_of, copy_acts, copy_words, main_act
from printcrib.screens.requests.one_doing import Shown
from printcrib.screens.requests.one_presenter import OnePresenter
from printcrib.screens.requests.presenter import ListPresenter, Quick
from printcrib.screens.requests.raise_presenter import NO_MODEL, NOTHING_YET, RaisePresenter
from printcrib.services.accept_request import accept_request
from printcrib.services.answer_form import FormModel
from printcrib.services.decide_copies import Decision
from printcrib.services.keep_by_hand import KeptByHand
from printcrib.services.look_at_form import FormChoices
from printcrib.services.look_at_requests import RequestRow, Which
from printcrib.services.release_use import Terms
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.take_off_run import TakeOff, take_off_run


@dataclass
class SeenList:
    """A list that remembers."""

    rows: tuple[RequestRow, ...] = ()
    summary: str = ""
    empty: str = ""
    more: int = 0
    quick: Quick = field(default_factory=Quick)
    chosen: list[int] = field(default_factory=list)
    opened: list[int] = field(default_factory=list)
    meshes: list[tuple[bool, str]] = field(default_factory=list)

    def show_rows(self, rows: tuple[RequestRow, ...], summary: str, empty: str, more: int) -> None:
        self.rows, self.summary, self.empty, self.more = rows, summary, empty, more

    def show_chosen(self, row: RequestRow | None, quick: Quick) -> None:
        self.quick = quick

    def choose(self, request_id: int) -> None:
        self.chosen.append(request_id)

    def open_request(self, request_id: int) -> None:
        self.opened.append(request_id)

    def show_mesh(self, mesh: Any, waiting: str) -> None:
        self.meshes.append((mesh is not None, waiting))


class TestList:
    def seen(self, desk: Stand, name: str = "Dora") -> tuple[ListPresenter, SeenList]:
        view = SeenList()
        presenter = ListPresenter(desk.standing(name), view)
        presenter.load()
        return presenter, view

    def test_an_empty_shop_says_what_to_do(self, desk: Stand) -> None:
        presenter, view = self.seen(desk)
        assert view.empty == "No open requests. Press Raise a request to ask for something."
        presenter.search("stop")
        assert view.empty == 'Nothing is found for "stop".'

    def test_open_requests_stand_in_the_order_they_are_needed(self, desk: Stand) -> None:
        later = desk.own.ask(needed_by=TOMORROW, safety_answers=())
        sooner = desk.own.ask("Otto", needed_by=TUESDAY_MORNING + timedelta(hours=1))
        _, view = self.seen(desk)
        assert [row.id for row in view.rows] == [sooner.id, later.id]
        assert view.summary == "2 open, 2 to accept, 1 held."

    def test_held_mine_all_and_search(self, desk: Stand) -> None:
        held = desk.own.ask(needed_by=TOMORROW)
        mine = desk.own.ask("Dora", needed_by=TOMORROW, safety_answers=(), job="4711")
        presenter, view = self.seen(desk)
        presenter.show_which(Which.HELD.value)
        assert ([row.id for row in view.rows], view.summary) == ([held.id], "1 held, 1 to accept.")
        presenter.show_which("mine")
        assert [row.id for row in view.rows] == [mine.id]
        presenter.show_which("all")
        presenter.search("4711")
        assert [row.id for row in view.rows] == [mine.id]
        assert view.summary == '1 found for "4711", 1 to accept.'

    def test_more_than_a_page_is_shown_by_a_press(self, desk: Stand) -> None:
        for _ in range(3):
            desk.own.ask()
        presenter, view = self.seen(desk)
        presenter.limit = 2
        presenter.load()
        assert (len(view.rows), view.more) == (2, 1)
        presenter.show_more()
        assert (len(view.rows), view.more) == (3, 0)

    def test_the_desk_accepts_what_lacks_nothing_and_only_that(self, desk: Stand) -> None:
        ready = desk.own.ask(safety_answers=(), material_id=desk.own.material())
        lacking = desk.own.ask()
        presenter, view = self.seen(desk)
        rows = {row.id: row for row in view.rows}
        assert presenter.quick(rows[lacking.id]) == Quick()
        presenter.chose(rows[ready.id])
        assert view.quick.words == "Accept"
        presenter.do("accept")
        assert desk.own.request(ready.id).state is RequestState.ACCEPTED
        assert desk.messages.said == ["R 1 is accepted and on the run sheet."]

    def test_a_machinist_accepts_nothing_and_raises_what_was_sent_back(self, desk: Stand) -> None:
        from printcrib.services.accept_request import send_back

        asked = desk.own.ask(safety_answers=(), material_id=desk.own.material())
        presenter, view = self.seen(desk, "Max")
        assert presenter.quick(view.rows[0]) == Quick()
        send_back(desk.own.shop, desk.own.press(), asked.id, "which bore?")
        presenter.refresh(frozenset({"requests"}))
        presenter.chose(view.rows[0])
        assert view.quick.words == "Raise it"
        presenter.do("raise")
        assert desk.own.request(asked.id).state is RequestState.RAISED

    def test_same_again_opens_the_new_one(self, desk: Stand) -> None:
        first = desk.own.ask(safety_answers=())
        presenter, view = self.seen(desk)
        presenter.same_again()
        presenter.chose(view.rows[0])
        presenter.same_again()
        assert view.opened == [first.id + 1]
        assert desk.own.request(view.opened[0]).follows_id == first.id

    def test_the_chosen_ones_model_is_read_once(self, desk: Stand) -> None:
        desk.own.ask()
        presenter, view = self.seen(desk)
        presenter.chose(view.rows[0])
        presenter.show_picture()
        presenter.show_picture()
        assert view.meshes == [(True, "No model yet")]
        desk.own.ask(file=None, words="like the old one")
        presenter.load()
        words = next(row for row in view.rows if row.what == "like the old one")
        presenter.chose(words)
        presenter.show_picture()
        assert view.meshes[-1] == (False, "No model yet")

    def test_nothing_is_read_when_something_else_changed(self, desk: Stand) -> None:
        presenter, view = self.seen(desk)
        desk.own.ask()
        presenter.refresh(frozenset({"spools"}))
        assert view.rows == ()
        presenter.refresh(frozenset({"requests"}))
        assert len(view.rows) == 1

    def test_a_record_another_place_led_to_is_chosen(self, desk: Stand) -> None:
        asked = desk.own.ask()
        presenter, view = self.seen(desk)
        presenter.choose(asked.id)
        assert view.chosen == [asked.id]


@dataclass
class SeenOne:
    """One request's page that remembers."""

    shown: Shown | None = None
    columns: tuple[NozzleColumn, ...] = ()
    sentence: str = ""
    sentences: list[str] = field(default_factory=list)
    advice: tuple[str, str] = ("", "")
    has_mesh: bool = False
    waiting: str = ""
    photo: bytes | None = None
    gone: str = ""
    opened: list[int] = field(default_factory=list)
    bookings: int = 0

    def show_request(self, shown: Shown) -> None:
        self.shown = shown

    def show_mesh(self, mesh: Any, waiting: str) -> None:
        self.has_mesh, self.waiting = mesh is not None, waiting

    def show_photo(self, content: bytes | None) -> None:
        self.photo = content

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str) -> None:
        self.columns, self.sentence = columns, sentence
        self.sentences.append(sentence)

    def show_advice(self, nozzle: str, lies: str) -> None:
        self.advice = (nozzle, lies)

    def show_gone(self, sentence: str) -> None:
        self.gone = sentence

    def open_request(self, request_id: int) -> None:
        self.opened.append(request_id)

    def booked(self) -> None:
        self.bookings += 1


@dataclass
class Opened:
    """One request opened by somebody."""

    desk: Stand
    presenter: OnePresenter
    view: SeenOne
    overs: int = 0
    refusals: list[str] = field(default_factory=list)

    def over(self) -> None:
        self.overs += 1

    def refused(self, error: ShopError) -> None:
        self.refusals.append(str(error))

    @property
    def acts(self) -> tuple[str, ...]:
        assert self.view.shown is not None
        return self.view.shown.acts

    @property
    def main(self) -> str:
        assert self.view.shown is not None
        return self.view.shown.main

    def now(self) -> Request:
        return self.desk.own.request(self.presenter.request_id)


def opened(desk: Stand, request: Request, name: str = "Dora") -> Opened:
    view = SeenOne()
    presenter = OnePresenter(desk.standing(name), view)
    presenter.open(request.id)
    return Opened(desk, presenter, view)


def ready(desk: Stand, **fields: Any) -> Request:
    """A request that lacks nothing, by Max."""
    told: dict[str, Any] = {"safety_answers": (), "material_id": desk.own.material()}
    return desk.own.ask(**{**told, **fields})


def printed(desk: Stand, request: Request, state: CopyState = CopyState.READY) -> None:
    """Its copies are off the printer, as a run would leave them."""
    accept_request(desk.own.shop, desk.own.press(), request.id)
    with desk.own.shop.write(desk.own.press(), "test") as uow:
        for copy in uow.copies.find():
            when = uow.now if state is CopyState.READY else None
            size = uow.sizes.get(request.size_id or 0)
            uow.copies.save(replace(copy, state=state, ready_at=when, model_id=size.model_id))
        uow.commit()


class TestOne:
    def test_the_answer_comes_by_itself_also_before_accepting(self, desk: Stand) -> None:
        one = opened(desk, desk.own.ask())
        assert [column.nozzle for column in one.view.columns] == ["0.4", "0.6", "0.8"]
        assert one.view.has_mesh
        assert [column.mark for column in one.view.columns].count("suggested") == 1

    def test_nothing_is_said_of_the_nozzles_before_it_is_known(self, desk: Stand) -> None:
        one = opened(desk, desk.own.ask())
        assert one.view.sentences[0] == "Estimating"
        assert not any(said.startswith("No printer") for said in one.view.sentences)

    def test_words_only_wait_for_a_model(self, desk: Stand) -> None:
        one = opened(desk, desk.own.ask(file=None, words="like the old one", photo=b"jpeg"))
        assert one.view.sentence == "There is nothing to estimate before it has a model."
        assert (one.view.has_mesh, one.view.waiting, one.view.photo) == (False, "No model yet", b"jpeg")
        assert one.main == "model"

    def test_the_desk_accepts(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        assert one.main == "accept"
        one.presenter.accept()
        assert one.now().state is RequestState.ACCEPTED
        assert one.view.bookings == 1
        assert "accept" not in one.acts

    def test_really_at_is_booked_once(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        earlier = TUESDAY_MORNING - timedelta(minutes=30)
        one.presenter.really_at = earlier
        one.presenter.accept()
        assert one.now().accepted_at == earlier
        assert one.presenter.really_at is None

    def test_send_back_needs_a_reason_and_the_panel_stays(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.send_back(" ", one.over, one.refused)
        assert (one.overs, one.refusals) == (
            0,
            ["Sending back needs a reason. Say in a few words what is to be changed."],
        )
        one.presenter.send_back("which bore?", one.over, one.refused)
        assert (one.overs, one.now().sent_back_reason) == (1, "which bore?")

    def test_the_asker_raises_again_what_was_sent_back(self, desk: Stand) -> None:
        asked = ready(desk)
        opened(desk, asked).presenter.send_back("which bore?", lambda: None, lambda _e: None)
        one = opened(desk, asked, "Max")
        assert one.main == "raise"
        one.presenter.raise_again()
        assert one.now().state is RequestState.RAISED

    def test_safety_is_answered_by_asker_or_desk(self, desk: Stand) -> None:
        asked = desk.own.ask(material_id=desk.own.material())
        one = opened(desk, asked, "Max")
        assert one.main == "answer safety"
        one.presenter.answer(None, None, one.refused, one.over)
        assert one.refusals == ["Nothing is answered yet. Tick what it will do, or press None of these."]
        one.presenter.answer((2,), None, one.refused, one.over)
        assert one.now().safety_answers == (2,)
        assert "answer safety" not in opened(desk, asked, "Otto").acts

    def test_same_use_as_released(self, desk: Stand) -> None:
        size = desk.size()
        first = ready(desk, file=None, size_id=size.id, safety_answers=(2,))
        reviewer = opened(desk, first, "Rita")
        assert reviewer.main == "release"
        reviewer.presenter.release(Terms(), reviewer.over, reviewer.refused)
        assert reviewer.overs == 1
        assert "take back" in reviewer.acts
        second = opened(desk, desk.own.ask(file=None, size_id=size.id), "Max")
        assert second.presenter.choices is not None
        assert second.presenter.choices.sizes[0].release
        second.presenter.answer(None, True, second.refused, second.over)
        assert second.now().safety_answers == (2,)

    def test_nobody_releases_their_own(self, desk: Stand) -> None:
        asked = desk.own.ask("Rita", safety_answers=(2,), material_id=desk.own.material())
        one = opened(desk, asked, "Rita")
        assert "release" not in one.acts
        one.presenter.release(Terms(), one.over, one.refused)
        assert one.refusals == ["Nobody releases their own request. Ask another reviewer."]

    def test_a_release_is_taken_back_with_a_reason(self, desk: Stand) -> None:
        asked = ready(desk, safety_answers=(2,))
        accept_request(desk.own.shop, desk.own.press(), asked.id)
        one = opened(desk, asked, "Rita")
        one.presenter.release(Terms(), one.over, one.refused)
        assert desk.own.hold_words(asked.id) == []
        one.presenter.take_back("cracked", one.over, one.refused)
        assert desk.own.hold_words(asked.id) == ["review open"]
        one.presenter.take_back("again", one.over, one.refused)
        assert one.overs == 3

    def test_a_nozzle_is_recommended_and_how_it_lies_is_said(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        nozzle, lies = one.view.advice
        assert nozzle == "Use 0.6: it keeps every feature and is done soonest."
        assert [column.mark for column in one.view.columns] == ["", "suggested", ""]
        assert lies.startswith("It lies best as it is: no support, 20 mm tall")

    def test_the_person_says_how_it_lies(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        assert "turn" in one.acts
        assert one.presenter.page is not None
        assert one.presenter.page.advice is not None
        side = one.presenter.page.advice.rests[-1]
        one.presenter.choose_rest(side)
        now = one.presenter.page.model
        assert now is not None
        assert (now.revision, now.model.turn) == ("B", side.turn)
        assert ", instead of 0.0 cm3 and " in one.view.advice[1]

    def test_it_can_be_laid_on_a_flat_face(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.choose_rest(Rest("on a flat face", None, (0.6, 0, -0.8), 0, 1, 20))
        assert desk.messages.problems[-1].startswith("box laid down.stl cannot be read")

    def test_the_desk_chooses_a_nozzle_and_lets_it_go(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.choose_nozzle(400)
        assert one.now().bore_um == 400
        assert [column.mark for column in one.view.columns] == ["chosen", "", ""]
        one.presenter.choose_nozzle(400)
        assert one.now().bore_um is None

    def test_details_change(self, desk: Stand) -> None:
        one = opened(desk, ready(desk), "Max")
        one.presenter.change(replace(one.now(), job="4711", how_fine=Fineness.FINE), one.over, one.refused)
        assert (one.now().job, one.now().how_fine) == ("4711", Fineness.FINE)
        assert desk.messages.said[-1] == "R 1 is changed."

    def test_a_new_file_is_a_new_revision(self, desk: Stand, tmp_path: Path) -> None:
        one = opened(desk, ready(desk))
        file = tmp_path / "longer.stl"
        file.write_bytes(b"box 50 30 20")
        one.presenter.give_model(str(file), 1.0, one.refused, one.over)
        assert one.overs == 1
        assert one.view.shown is not None
        assert one.view.shown.page.model is not None
        assert one.view.shown.page.model.revision == "B"
        file.write_bytes(b"no model")
        one.presenter.give_model(str(file), 1.0, one.refused, one.over)
        assert one.refusals == ["longer.stl cannot be read as a model. Export it again from the model."]
        one.presenter.give_model(str(tmp_path / "gone.stl"), 1.0, one.refused, one.over)
        assert "gone.stl cannot be read from" in one.refusals[-1]

    def test_words_become_a_pattern_size(self, desk: Stand) -> None:
        size = desk.size()
        one = opened(desk, desk.own.ask(file=None, words="the stop"))
        assert "size" in one.acts
        one.presenter.choose_size(size.id)
        assert one.now().size_id == size.id
        assert "size" not in one.acts

    def test_fewer_and_labels(self, desk: Stand) -> None:
        one = opened(desk, ready(desk, quantity=4))
        one.presenter.change_quantity(2, (), one.over, one.refused)
        assert one.now().quantity == 2
        one.presenter.change_quantity(1, ("A", "A"), one.over, one.refused)
        assert one.refusals == ["The label A is there twice. Give every copy its own label."]

    def test_withdraw(self, desk: Stand) -> None:
        one = opened(desk, ready(desk), "Max")
        one.presenter.withdraw("the job is off", None, one.over, one.refused)
        assert one.now().state is RequestState.WITHDRAWN
        assert "withdraw" not in one.acts

    def test_same_again_opens_it(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.same_again()
        assert one.view.opened == [2]

    def test_hold_and_close_the_question(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.close_question("nothing open", one.over, one.refused)
        one.presenter.hold("which side?", one.over, one.refused)
        assert desk.own.hold_words(1) == ["question open"]
        assert "close question" in one.acts
        one.presenter.close_question("the left one", one.over, one.refused)
        assert desk.own.hold_words(1) == []
        assert one.overs == 3

    def test_printed_copies_of_a_withdrawn_request_are_decided(self, desk: Stand) -> None:
        asked = ready(desk, quantity=2, purpose=Purpose.TRY_FIT)
        printed(desk, asked)
        one = opened(desk, asked)
        one.presenter.withdraw("", None, one.over, one.refused)
        assert one.main == "decide copies"
        copies = desk.own.copies(asked.id)
        one.presenter.decide(
            {copies[0].id: Decision.SPARE, copies[1].id: Decision.SCRAP}, one.over, one.refused
        )
        states = [copy.state for copy in desk.own.copies(asked.id)]
        assert states == [CopyState.SHELVED, CopyState.SCRAP]

    def test_a_copy_to_try_is_handed_out_here_and_its_fit_written_down(self, desk: Stand) -> None:
        asked = ready(desk, purpose=Purpose.TRY_FIT)
        printed(desk, asked)
        one = opened(desk, asked)
        assert one.main == "hand out"
        one.presenter.hand_out_next()
        assert desk.messages.said[-1] == 'R 1/1 is handed out, marked "not for use".'
        assert one.view.shown is not None
        line = one.view.shown.page.copies[0]
        assert [act.id for act in copy_acts(one.view.shown.page, line)] == ["fit"]
        one.presenter.say_fit(line.copy.id, "0.2 tight", one.over, one.refused)
        assert desk.own.copies(asked.id)[0].fit_result == "0.2 tight"
        one.presenter.say_fit(line.copy.id, " ", one.over, one.refused)
        assert one.refusals == ["No fit result was given. Write how it fits, such as 0.2 tight."]

    def test_what_was_printed_by_hand_wants_its_answers_and_no_model(self, desk: Stand) -> None:
        shop, printer = desk.own.shop, desk.own.printer("Left")
        free = TUESDAY_MORNING + timedelta(hours=1)
        run = run_by_hand(shop, desk.own.press(), printer.id, free).value.run
        told = TakeOff(spool_id=printer.mounted_spool_id, kept=KeptByHand(words="hook"))
        kept_id = take_off_run(shop, desk.own.press(), run.id, told).value.kept_request_id
        with shop.read() as uow:
            kept = uow.requests.get(kept_id or 0)
        one = opened(desk, kept)
        assert one.view.shown is not None
        one.presenter.copy_act("good", one.view.shown.page.copies[0].copy.id)
        assert one.main == "answer safety"
        one.presenter.answer((), None, one.refused, one.over)
        assert one.main == "finish"
        assert "model" in one.view.shown.acts  # for the next one

    def test_how_a_copy_fits_is_said_before_it_leaves_the_desk(self, desk: Stand) -> None:
        asked = ready(desk, purpose=Purpose.TRY_FIT)
        printed(desk, asked)
        one = opened(desk, asked)
        assert one.view.shown is not None
        page = one.view.shown.page
        assert [act.id for act in copy_acts(page, page.copies[0])] == ["fit", "hand out", "shelve"]
        one.presenter.say_fit(page.copies[0].copy.id, "0.3 tight", one.over, one.refused)
        copy = desk.own.copies(asked.id)[0]
        assert (copy.state, copy.fit_result) == (CopyState.READY, "0.3 tight")

    def test_a_copy_to_look_at_is_not_asked_how_it_fits(self, desk: Stand) -> None:
        asked = ready(desk, purpose=Purpose.LOOK_AT)
        printed(desk, asked)
        one = opened(desk, asked)
        assert one.view.shown is not None
        page = one.view.shown.page
        assert [act.id for act in copy_acts(page, page.copies[0])] == ["hand out", "shelve"]

    def test_steps_then_ready_then_an_aid_for_its_own_place(self, desk: Stand) -> None:
        size = desk.size(finishing_steps=("bore gauged", "edges broken"))
        asked = ready(desk, file=None, size_id=size.id)
        printed(desk, asked, CopyState.FINISHING)
        one = opened(desk, asked)
        assert one.view.shown is not None
        line = one.view.shown.page.copies[0]
        planned = replace(line, copy=replace(line.copy, state=CopyState.ON_RUN), state="on run", run="run 7")
        assert copy_words(one.view.shown.page, planned) == "on run 7"
        assert copy_words(one.view.shown.page, line).startswith("finishing, step 1 of 2")
        assert [act.words for act in copy_acts(one.view.shown.page, line)] == ["Done: bore gauged"]
        one.presenter.copy_act("step", line.copy.id)
        assert desk.messages.said[-1] == "The step is done."
        one.presenter.finish_all()
        assert desk.messages.said[-1] == "1 copy is ready."
        copy = desk.own.copies(asked.id)[0]
        page = one.view.shown.page
        assert [act.id for act in copy_acts(page, page.copies[0])] == ["aid", "shelve"]
        one.presenter.copy_act("aid", copy.id)
        one.presenter.copy_act("trouble", copy.id)
        assert desk.opened == [("aids", copy.aid_id), ("trouble_log", copy.id)]
        one.presenter.copy_act("shelve", copy.id)
        assert desk.own.copies(asked.id)[0].state is CopyState.SHELVED

    def test_a_request_that_is_not_there(self, desk: Stand) -> None:
        view = SeenOne()
        OnePresenter(desk.standing(), view).open(77)
        assert "There is no request 77" in view.gone

    def test_reads_again_when_it_changed(self, desk: Stand) -> None:
        one = opened(desk, ready(desk))
        one.presenter.refresh(frozenset({"spools"}))
        accept_request(desk.own.shop, desk.own.press(), 1)
        one.presenter.refresh(frozenset({"requests"}))
        assert "accept" not in one.acts

    def test_without_a_material_the_desk_is_led_to_the_change(self, desk: Stand) -> None:
        one = opened(desk, desk.own.ask(safety_answers=()))
        assert one.main == "change"
        page = one.view.shown.page if one.view.shown else None
        assert page is not None
        assert main_act(page, ()) == ""
        assert "release" not in acts_of(page, desk.own.made.people["Rita"])


@dataclass
class SeenForm:
    """A form that remembers."""

    forms: list[Form] = field(default_factory=list)
    choices: FormChoices | None = None
    model: FormModel | None = None
    name: str = ""
    waiting: str = ""
    photo: bytes | None = None
    pictures: bool = True
    busy: list[str] = field(default_factory=list)
    errors: dict[str, str] = field(default_factory=dict)
    columns: tuple[NozzleColumn, ...] = ()
    sentence: str = ""
    minutes: str = ""
    summary: str = ""
    release: str = ""
    consequence: Consequence = field(default_factory=lambda: Consequence(""))
    progress: list[tuple[int, int]] = field(default_factory=list)
    kept: int = 0
    requests: list[Request] = field(default_factory=list)

    def show_choices(self, choices: FormChoices) -> None:
        self.choices = choices

    def show_form(self, form: Form) -> None:
        self.forms.append(form)

    def show_model(self, shown: FormModel | None, name: str, waiting: str) -> None:
        self.model, self.name, self.waiting = shown, name, waiting

    def show_name(self, name: str) -> None:
        self.name = name

    def show_photo(self, content: bytes | None) -> bool:
        self.photo = content
        return self.pictures

    def show_busy(self, words: str) -> None:
        self.busy.append(words)

    def show_errors(self, errors: dict[str, str]) -> None:
        self.errors = errors

    def show_answer(self, columns: tuple[NozzleColumn, ...], sentence: str, minutes_words: str) -> None:
        self.columns, self.sentence, self.minutes = columns, sentence, minutes_words

    def show_summary(self, sentence: str) -> None:
        self.summary = sentence

    def show_safety(
        self,
        safety: tuple[int, ...] | None,
        same_use: bool | None,
        release: str,
        consequence: Consequence,
    ) -> None:
        self.release, self.consequence = release, consequence

    def tell_progress(self, done: int, whole: int) -> None:
        self.progress.append((done, whole))

    def form_changed(self) -> None:
        self.kept += 1

    def taken(self, request: Request) -> None:
        self.requests.append(request)


FormOf = Callable[..., tuple[RaisePresenter, SeenForm]]


@pytest.fixture
def form(desk: Stand) -> FormOf:
    def begun(name: str = "Max") -> tuple[RaisePresenter, SeenForm]:
        view = SeenForm()
        presenter = RaisePresenter(desk.standing(name), view)
        presenter.begin()
        return presenter, view

    return begun


@pytest.fixture
def box_file(tmp_path: Path) -> str:
    path = tmp_path / "box.stl"
    path.write_bytes(BOX.content)
    return str(path)


class TestRaise:
    def test_nothing_is_preselected_and_the_asker_is_who_stands_there(
        self, desk: Stand, form: FormOf
    ) -> None:
        presenter, view = form()
        assert presenter.form == Form(asker_id=desk.own.who("Max"))
        assert (presenter.form.safety, presenter.form.when) == (None, "")
        assert view.sentence == NOTHING_YET

    def test_a_pattern_size_answers_at_once(self, desk: Stand, form: FormOf) -> None:
        size = desk.size(how_fine=Fineness.FINE)
        presenter, view = form()
        presenter.change({"size_id": size.id, "quantity": 2, "when": PROGRAM, "hours": 5})
        assert (view.name, presenter.form.how_fine) == ("spindle stop 32 x 60", "fine")
        assert [column.nozzle for column in view.columns] == ["0.4", "0.6", "0.8"]
        assert view.minutes == "Minutes for both"
        assert view.summary.startswith("On 0.4 about ")
        assert view.summary.endswith(", needed 12:00 today.")

    def test_raised_in_three_answers(self, desk: Stand, form: FormOf) -> None:
        size = desk.size()
        presenter, view = form()
        presenter.raise_it()
        assert set(view.errors) == {"what", "when"}
        presenter.change({"size_id": size.id})
        presenter.change({"when": SOON, "needed_at": TOMORROW.isoformat()})
        presenter.raise_it()
        assert [request.size_id for request in view.requests] == [size.id]
        assert desk.messages.said == ["R 1 is raised; the desk sees it."]
        assert presenter.form == Form(asker_id=desk.own.who("Max"))
        assert desk.own.hold_words(1) == ["needs the safety answers"]

    def test_a_file_is_read_shown_and_raised(self, desk: Stand, form: FormOf, box_file: str) -> None:
        presenter, view = form()
        presenter.choose_file(box_file)
        assert view.model is not None
        assert (view.name, view.model.extents) == ("box.stl", "40 x 30 x 20 mm")
        assert view.progress == [(0, 3), (1, 3), (2, 3)]
        assert "Reading box.stl" in view.busy
        assert view.busy[-1] == ""
        presenter.change({"unit": "inch"})
        assert view.model.extents == "1016 x 762 x 508 mm"
        presenter.change({"unit": "mm", "scale": 200, "when": SOON, "needed_at": TOMORROW.isoformat()})
        presenter.raise_it()
        with desk.own.shop.read() as uow:
            assert uow.models.find()[0].extents_mm == (80.0, 60.0, 40.0)

    def test_a_refused_file_is_one_sentence_and_the_form_stays(self, form: FormOf, tmp_path: Path) -> None:
        bad = tmp_path / "bad.stl"
        bad.write_bytes(b"?")
        presenter, view = form()
        presenter.change({"job": "4711"})
        presenter.choose_file(str(bad))
        assert view.errors == {"what": "bad.stl cannot be read as a model. Export it again from the model."}
        assert presenter.form.job == "4711"
        presenter.choose_file(str(tmp_path / "gone.stl"))
        assert "gone.stl cannot be read from" in view.errors["what"]

    def test_reading_can_be_cancelled(self, form: FormOf, tmp_path: Path) -> None:
        presenter, view = form()
        presenter.choose_file(str(tmp_path / "gone.stl"))
        presenter.cancel_reading()
        assert presenter.form.file_path == ""
        assert view.busy[-1] == ""

    def test_words_and_a_photo(self, desk: Stand, form: FormOf, tmp_path: Path) -> None:
        photo = tmp_path / "old.jpg"
        photo.write_bytes(b"jpeg")
        presenter, view = form()
        presenter.choose_photo(str(photo))
        presenter.change({"words": "like this one", "when": SOON, "needed_at": TOMORROW.isoformat()})
        assert (presenter.form.what, view.sentence) == (WORDS, NO_MODEL)
        presenter.raise_it()
        assert desk.own.shop.files.get(desk.own.request(1).photo_sha) == b"jpeg"
        view.pictures = False
        presenter.choose_photo(str(photo))
        assert view.errors == {"what": "old.jpg is no picture. Choose another one."}
        presenter.choose_photo(str(tmp_path / "gone.jpg"))
        assert "gone.jpg cannot be read from" in view.errors["what"]

    def test_a_released_size_asks_only_for_the_same_use(self, desk: Stand, form: FormOf) -> None:
        size = desk.size()
        first = ready(desk, file=None, size_id=size.id, safety_answers=(2,))
        reviewer = opened(desk, first, "Rita")
        reviewer.presenter.release(Terms(), reviewer.over, reviewer.refused)
        presenter, view = form()
        presenter.change({"size_id": size.id})
        assert view.release.startswith("released by Rita")
        presenter.change({"same_use": True, "safety": None})
        assert view.consequence.words == "Covered by the release, on its conditions."
        presenter.change({"purpose": Purpose.TRY_FIT.value})
        assert view.release == ""
        presenter.change({"purpose": Purpose.FOR_USE.value, "scale": 120})
        assert view.release == ""

    def test_consequences_follow_the_ticks(self, form: FormOf) -> None:
        presenter, view = form()
        presenter.change({"safety": (1,)})
        assert view.consequence.holds
        presenter.change({"safety": (7,)})
        assert view.consequence.words.startswith("Never handed out")

    def test_a_draft_is_kept_in_the_books(self, desk: Stand, form: FormOf) -> None:
        presenter, view = form()
        presenter.change({"what": WORDS, "words": "something for the hose"})
        presenter.keep_draft()
        assert view.requests[0].state is RequestState.DRAFT
        assert not presenter.kept()

    def test_a_half_filled_form_comes_back_after_a_restart(
        self, desk: Stand, form: FormOf, box_file: str
    ) -> None:
        presenter, view = form()
        presenter.choose_file(box_file)
        presenter.change({"job": "4711"})
        assert view.kept == 2
        again, seen = RaisePresenter(desk.standing("Max"), SeenForm()), SeenForm()
        again._view = seen
        again.restore(presenter.kept())
        again.begin()
        assert again.form == presenter.form
        again.restore("")
        assert again.form == presenter.form

    def test_a_half_filled_form_with_a_photo_reads_it_again(
        self, desk: Stand, form: FormOf, tmp_path: Path
    ) -> None:
        photo = tmp_path / "old.png"
        photo.write_bytes(b"png")
        presenter, _ = form()
        presenter.choose_photo(str(photo))
        again, view = form()
        again.restore(presenter.kept())
        assert view.photo == b"png"

    def test_what_the_service_refuses_stands_beside_its_cause(self, desk: Stand, form: FormOf) -> None:
        presenter, view = form()
        presenter.change({"what": WORDS, "words": "a stop", "when": SOON, "needed_at": TOMORROW.isoformat()})
        presenter.change({"asker_id": 99})
        presenter.raise_it()
        assert "" in view.errors
        assert presenter.form.words == "a stop"
        assert desk.messages.problems

    def test_really_asked_earlier(self, desk: Stand, form: FormOf) -> None:
        presenter, _ = form()
        presenter.change({"what": WORDS, "words": "a stop", "when": SOON, "needed_at": TOMORROW.isoformat()})
        presenter.really_at = TUESDAY_MORNING - timedelta(hours=1)
        presenter.raise_it()
        assert desk.own.request(1).happened_at == TUESDAY_MORNING - timedelta(hours=1)
        assert presenter.really_at is None

    def test_begun_from_a_pattern_in_another_place(self, desk: Stand) -> None:
        size = desk.size(how_fine=Fineness.ROUGH)
        view = SeenForm()
        presenter = RaisePresenter(desk.standing("Max"), view)
        presenter.fill(size_id=size.id)
        presenter.begin()
        assert (presenter.form.how_fine, view.name) == ("rough", "spindle stop 32 x 60")

    def test_a_change_of_the_plan_asks_again(self, desk: Stand, form: FormOf) -> None:
        size = desk.size()
        presenter, view = form()
        presenter.change({"size_id": size.id, "safety": ()})
        before = view.columns
        accept_request(desk.own.shop, desk.own.press(), ready(desk, quantity=9).id)
        presenter.plan_changed()
        assert [column.by for column in view.columns] != [column.by for column in before]

    def test_the_desk_may_choose_the_nozzle_in_the_form(self, desk: Stand, form: FormOf) -> None:
        size = desk.size()
        presenter, view = form("Dora")
        presenter.change({"size_id": size.id})
        presenter.choose_nozzle(400)
        assert [column.mark for column in view.columns] == ["chosen", "", ""]
        presenter.choose_nozzle(400)
        assert presenter.form.bore_um is None

    def test_a_file_form_says_what_it_waits_for(self, form: FormOf) -> None:
        presenter, view = form()
        presenter.change({"what": FILE})
        assert view.waiting == "Choose a file, or drop one here"
