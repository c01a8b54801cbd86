"""The demo's story on a fresh folder: what it tells is what the books hold afterwards."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from printcrib.app.demo.history import Life, begin_life
from printcrib.app.demo.story import Story
from printcrib.app.demo.telling import Told
from printcrib.core.aids import AidState
from printcrib.core.materials import SpoolEntryKind
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import CopyState, RequestState
from printcrib.core.runs import RunState
from printcrib.services.check_books import check_books as against_themselves
from printcrib.services.interfaces import Change, Shop, among, is_
from printcrib.services.read_runs import doubt_of
from printcrib.services.weekly_report import week, week_json
from printcrib.storage.check import check_books as as_kept

PRESENT = datetime(2026, 11, 27, 8, 42, tzinfo=UTC)  # a Friday, 09:42 in the shop

Lived = tuple[Life, Told]


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lived]:
    """The story told in a demo shop without any history."""
    life = begin_life(tmp_path_factory.mktemp("demo") / "shop", PRESENT)
    story = Story(life.desk, life.asking, lambda step: None)
    story.tell()
    story.print_week()
    yield life, story.told
    life.demo.wired.close()


@pytest.fixture
def told(lived: Lived) -> Told:
    """What the story left."""
    return lived[1]


@pytest.fixture
def shop(lived: Lived) -> Shop:
    """The shop it was told in."""
    return lived[0].demo.shop


def every_change(shop: Shop) -> tuple[Change, ...]:
    """All of the change record."""
    with shop.read() as uow:
        return uow.changes.since(0, limit=100_000)


def test_every_step_is_one_press_or_a_look(told: Told, shop: Shop) -> None:
    presses = [step.press for step in told.steps if step.press]
    assert len(presses) == len(set(presses))
    assert [step.number for step in told.steps] == list(range(1, len(told.steps) + 1))
    looks = [step for step in told.steps if not step.press]
    assert [step.who for step in looks] == [""]  # only the week on paper books nothing
    begun = {change.number: change for change in every_change(shop)}
    said = [begun[press].verb for press in presses]
    chain = ["raise request", "estimate model", "accept request", "propose plan", "keep plan"]
    chain += ["start next run", "take off run", "hand out", "read part counter", "raise reprints"]
    assert [verb for verb in dict.fromkeys(said) if verb in chain] == chain
    assert {"count parts made", "count use", "add pattern", "change size"} <= set(said)


def test_nothing_was_written_past_the_services(shop: Shop) -> None:
    changes = every_change(shop)
    assert all(change.verb and change.press_number for change in changes)
    first_of_press = {change.press_number: change for change in reversed(changes)}
    assert all(number == change.number for number, change in first_of_press.items())
    by_whom = {change.who_id for change in changes}
    with shop.read() as uow:
        assert by_whom <= {person.id for person in uow.people.find()} | {THE_TOOL}


def test_the_grams_told_are_the_grams_booked(told: Told, shop: Shop) -> None:
    step = next(step for step in told.steps if "booked_mg" in step.figures)
    with shop.read() as uow:
        run = uow.runs.one(is_("number", step.figures["run"]))
        assert run is not None
        entries = uow.spool_entries.find(is_("run_id", run.id))
        for kind, mg in step.figures["booked_mg"].items():
            assert mg == -sum(entry.mg for entry in entries if entry.kind == kind)
        booked = -sum(entry.mg for entry in entries)
        purge = step.figures["booked_mg"][SpoolEntryKind.PURGE.value]
        assert booked - purge == run.mg
        assert step.figures["left_before_mg"] - step.figures["left_after_mg"] == booked
        assert step.figures["booked_mg"][SpoolEntryKind.SCRAP.value] > 0


def test_what_is_left_on_every_spool_is_its_ledgers_sum(shop: Shop) -> None:
    with shop.read() as uow:
        for spool in uow.spools.find():
            entries = uow.spool_entries.find(is_("spool_id", spool.id))
            assert doubt_of(uow, spool).left_mg == sum(entry.mg for entry in entries)


def test_every_nozzle_was_told_with_its_minutes_and_grams(told: Told, shop: Shop) -> None:
    step = next(step for step in told.steps if "nozzles" in step.figures)
    assert told.request is not None
    with shop.read() as uow:
        size = uow.sizes.get(told.size_id)
        estimates = uow.estimates.find(is_("model_id", size.model_id))
    quickest = {bore: min(e.part_minutes for e in estimates if e.bore_um == bore) for bore in (400, 600, 800)}
    assert [each["bore_um"] for each in step.figures["nozzles"]] == [400, 600, 800]
    for each in step.figures["nozzles"]:
        assert each["likely_minutes"] > told.request.quantity * quickest[each["bore_um"]]
        assert each["at_most_minutes"] > each["likely_minutes"]
        assert each["grams"] > 0
    assert [each["allowed"] for each in step.figures["nozzles"]] == [True, True, False]


def test_one_copy_was_lost_and_printed_again(told: Told, shop: Shop) -> None:
    (lost,) = told.failed
    assert told.request is not None
    with shop.read() as uow:
        copies = uow.copies.find(is_("request_id", told.request.id), order_by="ordinal")
        states = [copy.state for copy in copies]
        assert states == [CopyState.FAILED, *[CopyState.HANDED_OUT] * 3]
        assert copies[-1].replaces_id == lost.id
        failure = uow.failures.one(is_("run_id", lost.run_id))
        assert failure is not None
        assert (failure.cause, failure.copy_ids) == ("corner lifted", (lost.id,))
        assert failure.mg_lost > 0
        assert uow.requests.get(told.request.id).state is RequestState.DONE


def test_it_was_grouped_with_others(told: Told, shop: Shop) -> None:
    with shop.read() as uow:
        on_runs = [
            {copy.request_id for copy in uow.copies.find(is_("run_id", run_id))} for run_id in told.runs
        ]
        assert told.request is not None
        ours = next(requests for requests in on_runs if told.request.id in requests)
        assert ours & {request.id for request in told.others}
        assert all(uow.runs.get(run_id).state is RunState.TAKEN_OFF for run_id in told.runs)


def test_its_aids_are_in_service_and_counted_three_ways(told: Told, shop: Shop) -> None:
    with shop.read() as uow:
        aids = uow.aids.find(among("id", told.aids), order_by="number")
        counts = uow.use_entries.totals("amount", "aid_id", among("aid_id", told.aids))
        assert [aid.state for aid in aids] == [AidState.IN_USE] * 3
        assert [aid.size_id for aid in aids] == [told.size_id] * 3
        assert [aid.counted_by.value for aid in aids] == ["reading", "parts", "add"]
        readings = uow.machine_readings.find(is_("machine_id", aids[0].machine_id), order_by="happened_at")
    assert counts[aids[0].id] == readings[-1].counter - readings[0].counter > 0
    said = [step.figures["counts"] for step in told.steps if "counts" in step.figures]
    last = {tag: count for figures in said for tag, count in figures.items()}
    assert last == {aid.tag: counts[aid.id] for aid in aids}


def test_the_reprint_is_raised_once_accepted_and_planned(told: Told, shop: Shop) -> None:
    assert told.reprints
    with shop.read() as uow:
        for raised in told.reprints:
            request = uow.requests.get(raised.id)
            assert request.asker_id == THE_TOOL
            assert request.state is RequestState.ACCEPTED
            assert request.needed_by is not None
            assert request.needed_by > request.happened_at
            assert uow.requests.count(is_("replaces_aid_id", request.replaces_aid_id)) == 1
            (copy,) = uow.copies.find(is_("request_id", request.id))
            assert copy.state is CopyState.ON_RUN
            run = uow.runs.get(copy.run_id or 0)
            assert run.planned_end is not None
            assert run.planned_end < request.needed_by


def test_the_week_on_paper_has_the_weeks_figures(told: Told, shop: Shop) -> None:
    assert told.paper.startswith(b"%PDF-")
    data = week_json(week(shop, told.week))
    with shop.read() as uow:
        entries = uow.spool_entries.find()
        gone = (SpoolEntryKind.PRINTED, SpoolEntryKind.SCRAP, SpoolEntryKind.PURGE)
        used_mg = -sum(entry.mg for entry in entries if entry.kind in gone)
        hours = sum(run.minutes or 0.0 for run in uow.runs.find(is_("state", RunState.TAKEN_OFF))) / 60
        requests = uow.requests.count()
    assert data["filament"]["used_grams"] == pytest.approx(used_mg / 1000, abs=0.051)
    assert data["hours"]["printed"] == pytest.approx(hours, abs=0.051)
    assert data["requests"]["came_in"] == requests
    step = told.steps[-1]
    assert step.figures["used_grams"] == data["filament"]["used_grams"]
    assert step.figures["hours"] == data["hours"]["printed"]


def test_the_books_are_whole_afterwards(lived: Lived) -> None:
    wired = lived[0].demo.wired
    assert as_kept(wired.books) == ()
    assert against_themselves(wired.shop) == ()


def test_the_same_moment_gives_the_same_story(told: Told, tmp_path: Path) -> None:
    life = begin_life(tmp_path / "shop", PRESENT)
    story = Story(life.desk, life.asking, lambda step: None)
    story.tell()
    story.print_week()
    life.demo.wired.close()
    assert story.told.steps == told.steps
    assert story.told.paper == told.paper
