"""The demo shop with its three weeks: what a person finds in it at its present."""

import io
import json
from collections import Counter
from collections.abc import Iterator
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from printcrib.app.clock import SetClock
from printcrib.app.command_line import main
from printcrib.app.demo.days import Days, present_of
from printcrib.app.demo.shop import ZONE
from printcrib.app.demo.whole import Whole, make_whole_demo
from printcrib.app.wiring import Wired, open_shop
from printcrib.core.aids import UseKind
from printcrib.core.requests import CopyState, HoldKind, Purpose, RequestState
from printcrib.core.runs import RunOrigin, RunState
from printcrib.services.ask_weekly import weekly_questions
from printcrib.services.check_books import check_books as against_themselves
from printcrib.services.interfaces import Shop, Where, among, is_
from printcrib.services.look_at_requests import look_at_requests
from printcrib.storage.check import check_books as as_kept

PRESENT = datetime(2026, 11, 27, 8, 42, tzinfo=UTC)  # a Friday, 09:42 in the shop
OPEN = (RequestState.DRAFT, RequestState.RAISED, RequestState.SENT_BACK, RequestState.ACCEPTED)


@dataclass(frozen=True)
class Made:
    """The command's answer, what it made, and its shop opened again.

    Attributes:
        asked: the sizes and looks that pictures were asked for in.
    """

    folder: Path
    code: int
    answer: Any
    whole: Whole
    wired: Wired
    asked: tuple[Any, ...]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Made]:
    """`printcrib demo` at a fixed present; taking pictures has tests of its own and is only noted here."""
    folder = tmp_path_factory.mktemp("whole")
    kept: list[Whole] = []
    asked: list[Any] = []

    def note(wired: Wired, where: Path, sizes: Any, looks: Any) -> list[Path]:
        asked.extend((where, sizes, looks))
        return [where / "desk.png"]

    def at_present(home: Path, **hears: Any) -> Whole:
        kept.append(make_whole_demo(home, PRESENT, **hears))
        return kept[0]

    said = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said):
        patch.setattr("printcrib.app.demo.whole.make_whole_demo", at_present)
        patch.setattr("printcrib.app.pictures.take_pictures", note)
        code = main(["demo", str(folder), "--json"])
    wired = open_shop(folder / "shop", clock=SetClock(PRESENT))
    yield Made(folder, code, json.loads(said.getvalue()), kept[0], wired, tuple(asked))
    wired.close()


@pytest.fixture
def whole(made: Made) -> Whole:
    """What the demo is made of."""
    return made.whole


@pytest.fixture
def shop(made: Made) -> Shop:
    """Its shop."""
    return made.wired.shop


def test_the_command_leaves_shop_and_paper_behind(made: Made, whole: Whole) -> None:
    assert made.code == 0
    assert (made.folder / "week.pdf").read_bytes() == whole.told.paper
    assert made.answer["after"] == whole.after
    assert [step["number"] for step in made.answer["steps"]] == [step.number for step in whole.told.steps]
    assert made.answer["after"]["open_requests"] == 20
    where, sizes, looks = made.asked
    assert where == made.folder / "screens"
    assert (list(sizes), list(looks)) == ([(1280, 720), (1920, 1080)], ["light", "dark"])
    assert made.answer["screens"] == [str(where / "desk.png")]


def test_its_present_is_the_last_weekday_morning() -> None:
    friday = datetime(2026, 11, 27, 8, 42, tzinfo=UTC)
    assert present_of(datetime(2026, 11, 27, 8, 42, tzinfo=UTC), ZONE) == friday
    assert present_of(datetime(2026, 11, 29, 20, 0, tzinfo=UTC), ZONE) == friday  # Sunday evening
    assert present_of(datetime(2026, 11, 30, 6, 0, tzinfo=UTC), ZONE) == friday  # Monday, too early
    days = Days.before(friday, ZONE)
    assert days.day(-15).isoformat() == "2026-11-05"
    assert days.day(2).isoformat() == "2026-12-01"
    assert days.closed.isoformat() == "2026-11-16"


def test_time_in_its_books_runs_forward_up_to_its_present(whole: Whole, shop: Shop) -> None:
    with shop.read() as uow:
        changes = uow.changes.since(0, limit=100_000)
    recorded = [change.recorded_at for change in changes]
    assert all(before <= after for before, after in pairwise(recorded))
    assert recorded[0] < whole.life.days.at(-15, "07:00")
    assert PRESENT >= recorded[-1] > whole.life.days.at(0, "09:30")


def test_its_books_are_whole(made: Made) -> None:
    assert as_kept(made.wired.books) == ()
    assert against_themselves(made.wired.shop) == ()


def test_twenty_requests_are_open_in_many_ways(shop: Shop) -> None:
    rows = look_at_requests(shop).rows
    assert len(rows) == 20
    states = Counter(row.request.state for row in rows)
    assert set(states) == set(OPEN)
    with shop.read() as uow:
        keys = tuple(row.request.id for row in rows)
        held = {
            hold.kind for hold in uow.holds.find(among("request_id", keys), Where("closed_at", "is none"))
        }
        copies = Counter(copy.state for copy in uow.copies.find(among("request_id", keys)))
        assert any(uow.requests.get(key).photo_sha for key in keys)
    assert held == {
        HoldKind.NEEDS_MODEL,
        HoldKind.SAFETY,
        HoldKind.QUESTION,
        HoldKind.REVIEW,
        HoldKind.NO_SPOOL,
    }
    for state in (
        CopyState.ON_RUN,
        CopyState.PRINTING,
        CopyState.FINISHING,
        CopyState.READY,
        CopyState.WANTED,
    ):
        assert copies[state], state
    assert any(row.is_late for row in rows)
    assert any(row.at_risk for row in rows)


def test_a_run_is_on_each_printer(whole: Whole, shop: Shop) -> None:
    with shop.read() as uow:
        on = {run.printer_id for run in uow.runs.find(is_("state", RunState.STARTED))}
    assert on == set(whole.life.demo.printers.values())


def test_the_shop_owns_what_was_asked_for(shop: Shop) -> None:
    with shop.read() as uow:
        assert uow.printers.count() == 2
        bores = Counter((nozzle.bore_um, nozzle.hardened) for nozzle in uow.nozzles.find())
        assert {bore for bore, _ in bores} == {400, 600, 800}
        assert sum(count for (_, hardened), count in bores.items() if hardened) == 1
        assert uow.patterns.count(is_("listed", True)) == 13  # twelve, and the one the story began
        models = uow.models.find()
        assert {model.file_kind for model in models} == {"stl", "3mf"}
        assert all(model.trustworthy for model in models)
        assert uow.unattended.count(is_("allowed", True)) == 1
        assert uow.closed_days.count() == 1


def test_what_happened_in_three_weeks(whole: Whole, shop: Shop) -> None:
    with shop.read() as uow:
        assert uow.runs.count(is_("origin", RunOrigin.BY_HAND)) == 1
        assert any(release.lapsed_by == "its date has passed" for release in uow.releases.find())
        assert any(release.outside_reviewer for release in uow.releases.find())
        causes = {failure.cause_group for failure in uow.failures.find()}
        assert causes >= {"machine", "material", "desk", "design"}
        assert uow.failures.count(is_("cause", "damp")) == 1
        dried = [spool for spool in uow.spools.find() if spool.dried_at is not None]
        assert len(dried) == 1
        outcomes = Counter(promise.outcome for promise in uow.promises.find())
        assert outcomes["kept"]
        assert outcomes["not kept"]
        assert uow.requests.count(is_("purpose", Purpose.PRIVATE)) == 1
        kinds = {entry.kind for entry in uow.use_entries.find()}
        assert kinds >= {UseKind.READING, UseKind.PARTS, UseKind.ADD, UseKind.OPPOSED}
        assert uow.requests.count(is_("state", RequestState.WITHDRAWN)) == 1
        assert whole.before["runs"] > 40


def test_a_try_fit_was_tight_and_its_model_changed(shop: Shop) -> None:
    with shop.read() as uow:
        tried = uow.requests.one(is_("purpose", Purpose.TRY_FIT))
        assert tried is not None
        copies = uow.copies.find(is_("request_id", tried.id), order_by="ordinal")
        results = [(copy.fit_result, uow.models.get(copy.model_id or 0).revision) for copy in copies]
        assert results == [("0.2 tight", "A"), ("fits", "B")]
        assert copies[0].state is CopyState.SCRAP
        assert all(copy.aid_id is None for copy in copies)
        follows = uow.requests.one(is_("follows_id", tried.id), is_("purpose", Purpose.FOR_USE))
        assert follows is not None
        assert follows.state is RequestState.DONE


def test_one_aid_was_forgotten_and_is_asked_for(whole: Whole, shop: Shop) -> None:
    (forgotten,) = whole.life.counting.forgotten
    assert forgotten in {question.aid_id for question in weekly_questions(shop)}


def test_no_press_was_refused_but_by_the_gate(whole: Whole) -> None:
    assert [said for said in whole.life.desk.refused if "is not handed out: " not in said] == []
