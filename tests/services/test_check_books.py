"""The books are checked against themselves: every fault is one sentence, a sound shop has none."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock

from printcrib.core.aids import AidState, MachineReading, RetireReason
from printcrib.core.materials import SpoolEntry, SpoolEntryKind
from printcrib.core.requests import CopyState, RequestState
from printcrib.core.runs import RunState
from printcrib.services.check_books import check_books
from printcrib.services.count_use import count_use
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop, UnitOfWork
from printcrib.services.judge_copies import Outcome, Verdict, judge_copies
from printcrib.services.retire_aid import retire
from printcrib.services.take_request import NewRequest, raise_request
from printcrib.services.undo_press import undo
from printcrib.services.withdraw_request import withdraw_request


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def told(desk: AidShop, write: Callable[[UnitOfWork], Any]) -> tuple[str, ...]:
    """Write something past the use cases, and say what the check finds."""
    with desk.shop.write(desk.own.press(), "break") as uow:
        write(uow)
        uow.commit()
    return check_books(desk.shop)


def one_of_each(desk: AidShop) -> int:
    """Aids in use, on the shelf and retired, and a request under way; gives the first aid's key."""
    aid = desk.in_use()
    count_use(desk.shop, desk.own.press(), aid.id, 12)
    undo(desk.shop, desk.own.press(), count_use(desk.shop, desk.own.press(), aid.id, 5).press_number)
    desk.ready()
    retire(desk.shop, desk.own.press(), desk.in_use().id, RetireReason.LOST)
    desk.own.ask()
    return aid.id


def test_a_sound_shop_has_no_faults(desk: AidShop) -> None:
    one_of_each(desk)
    assert check_books(desk.shop) == ()


def test_what_was_undone_leaves_no_fault(desk: AidShop) -> None:
    ask = NewRequest(size_id=desk.size.id, needed_by=desk.clock.now(), safety_answers=())
    raised = raise_request(desk.shop, desk.own.press("Max"), ask)
    undo(desk.shop, desk.own.press("Max"), raised.press_number)
    (copy,) = desk.ready()
    handed = hand_out(desk.shop, desk.own.press(), copy.id, To(machine_id=desk.machine().id))
    undo(desk.shop, desk.own.press(), handed.press_number)
    assert check_books(desk.shop) == ()


def test_a_withdrawn_request_is_sound_once_its_copies_are_cancelled(desk: AidShop) -> None:
    (copy,) = desk.ready()
    withdraw_request(desk.shop, desk.own.press(), copy.request_id)
    assert check_books(desk.shop) == ()


def test_a_run_and_its_spools_disagree(desk: AidShop) -> None:
    (copy,) = desk.ready()
    run_id = copy.run_id or 0

    def spend(kind: SpoolEntryKind, mg: int) -> Callable[[UnitOfWork], Any]:
        def write(uow: UnitOfWork) -> None:
            spool = uow.spools.find()[0]
            run = uow.runs.get(run_id)
            uow.runs.save(replace(run, spool_ids=(spool.id,), mg=10_000))
            uow.spool_entries.add(SpoolEntry(spool_id=spool.id, kind=kind, mg=mg, who_id=1, run_id=run_id))

        return write

    assert told(desk, spend(SpoolEntryKind.PRINTED, -7_000)) == ("Run 1 took 10.0 g, its spools gave 7.0 g.",)
    assert told(desk, spend(SpoolEntryKind.PURGE, -1_500)) == ("Run 1 took 10.0 g, its spools gave 7.0 g.",)
    assert told(desk, spend(SpoolEntryKind.SCRAP, -3_000)) == ()


def test_grams_of_a_run_that_is_not_taken_off(desk: AidShop) -> None:
    (copy,) = desk.printed()

    def write(uow: UnitOfWork) -> None:
        uow.runs.save(replace(uow.runs.get(copy.run_id or 0), state=RunState.STARTED))
        spool = uow.spools.find()[0]
        uow.spool_entries.add(
            SpoolEntry(spool_id=spool.id, kind=SpoolEntryKind.PRINTED, mg=-500, who_id=1, run_id=copy.run_id)
        )

    assert told(desk, write) == (
        "Run 1 is started, and 0.5 g are booked for it.",
        "R 1/1 is finishing, and its run is started.",
    )


def test_runs_without_their_figures(desk: AidShop) -> None:
    (copy,) = desk.printed()

    def write(uow: UnitOfWork) -> None:
        uow.runs.save(replace(uow.runs.get(copy.run_id or 0), minutes=None, mg=None))
        uow.copies.save(replace(uow.copies.get(copy.id), state=CopyState.PRINTING))

    assert told(desk, write) == (
        "Run 1 is taken off without its minutes or its time.",
        "Run 1 is taken off, and 1 of its copies are printing.",
        "R 1/1 is printing, and its run is taken off.",
    )


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"state": CopyState.WANTED}, "R 1/1 is wanted, and stands on a run."),
        ({"state": CopyState.ON_RUN}, "R 1/1 is on run, and its run is taken off."),
        ({"state": CopyState.TO_CHECK, "run_id": None}, "R 1/1 is to check, and its run is missing."),
        ({"state": CopyState.READY}, "R 1/1 is ready without a time."),
    ],
)
def test_a_copy_and_its_run_disagree(desk: AidShop, fields: dict[str, Any], fault: str) -> None:
    (copy,) = desk.printed()
    assert told(desk, lambda uow: uow.copies.save(replace(uow.copies.get(copy.id), **fields))) == (fault,)


def test_a_copy_of_a_request_that_was_undone(desk: AidShop) -> None:
    (copy,) = desk.printed()
    faults = told(desk, lambda uow: uow.requests.save(replace(uow.requests.get(copy.request_id), void=True)))
    assert faults == ("Copy 1 belongs to a request that was undone.",)


@pytest.mark.parametrize(
    ("request_state", "copy_state", "fault"),
    [
        (RequestState.DONE, CopyState.READY, "R 1 is done, and not all of its copies are."),
        (RequestState.ACCEPTED, CopyState.SHELVED, "R 1 is still open, and all of its copies are done."),
        (RequestState.WITHDRAWN, CopyState.WANTED, "R 1 is withdrawn, and 1 of its copies are still wanted."),
    ],
)
def test_a_request_and_its_copies_disagree(
    desk: AidShop, request_state: RequestState, copy_state: CopyState, fault: str
) -> None:
    (copy,) = desk.printed()

    def write(uow: UnitOfWork) -> None:
        run_id = None if copy_state is CopyState.WANTED else copy.run_id
        uow.copies.save(replace(uow.copies.get(copy.id), state=copy_state, run_id=run_id, ready_at=uow.now))
        uow.requests.save(replace(uow.requests.get(copy.request_id), state=request_state))

    assert told(desk, write) == (fault,)


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"machine_id": None}, "T-0001 is in use, and no machine or time is named."),
        ({"retired_at": "now"}, "T-0001 is in use, and its retiring says otherwise."),
        ({"state": AidState.RETIRED}, "T-0001 is retired, and its retiring says otherwise."),
    ],
)
def test_an_aid_contradicts_itself(desk: AidShop, fields: dict[str, Any], fault: str) -> None:
    aid_id = one_of_each(desk)

    def write(uow: UnitOfWork) -> None:
        values: dict[str, Any] = {
            name: uow.now if value == "now" else value for name, value in fields.items()
        }
        uow.aids.save(replace(uow.aids.get(aid_id), **values))

    assert told(desk, write) == (fault,)


@pytest.mark.parametrize(
    ("fields", "faults"),
    [
        ({"aid_id": None}, ("T-0001 and its copy do not name each other.",)),
        (
            {"state": CopyState.READY},
            ("R 1 is done, and not all of its copies are.", "T-0001 is in use, and its copy is ready."),
        ),
    ],
)
def test_an_aid_and_its_copy_disagree(desk: AidShop, fields: dict[str, Any], faults: tuple[str, ...]) -> None:
    aid = desk.in_use()
    assert told(desk, lambda uow: uow.copies.save(replace(uow.copies.get(aid.copy_id), **fields))) == faults


def test_a_spare_whose_copy_is_scrap(desk: AidShop) -> None:
    (copy,) = desk.ready()
    faults = told(desk, lambda uow: uow.copies.save(replace(uow.copies.get(copy.id), state=CopyState.SCRAP)))
    assert faults == ("T-0001 is shelf, and its copy is scrap.",)


@pytest.mark.parametrize(
    ("outcome", "reason"),
    [(Outcome.FAILED, RetireReason.BROKEN), (Outcome.SCRAP, RetireReason.NOT_NEEDED)],
)
def test_an_aid_whose_copy_is_found_bad_goes_with_it(
    desk: AidShop, outcome: Outcome, reason: RetireReason
) -> None:
    (copy,) = desk.ready()
    judge_copies(desk.shop, desk.own.press(), {copy.id: Verdict(outcome, "corner lifted")})
    aid = desk.aid(copy.aid_id or 0)
    assert (aid.state, aid.retired_reason) == (AidState.RETIRED, reason)
    assert check_books(desk.shop) == ()


def test_an_aid_retired_before_is_left_alone(desk: AidShop) -> None:
    (copy,) = desk.ready()
    retire(desk.shop, desk.own.press(), copy.aid_id or 0, RetireReason.LOST)
    judge_copies(desk.shop, desk.own.press(), {copy.id: Verdict(Outcome.SCRAP)})
    assert desk.aid(copy.aid_id or 0).retired_reason is RetireReason.LOST


def test_entries_that_take_back_something_else(desk: AidShop) -> None:
    aid_id = one_of_each(desk)

    def write(uow: UnitOfWork) -> None:
        first, second, opposing = uow.use_entries.find()
        assert opposing.opposes_id == second.id
        uow.use_entries.add(replace(opposing, id=0, version=0, opposes_id=first.id, amount=-40))

    faults = told(desk, write)
    assert faults == (
        "Entry 4 of the use_entries does not take back entry 1 as it was.",
        "T-0001 has a count of -28.",
    )
    assert desk.count(aid_id) == -28


def test_an_entry_taken_back_twice(desk: AidShop) -> None:
    one_of_each(desk)

    def write(uow: UnitOfWork) -> None:
        opposing = uow.use_entries.find()[-1]
        uow.use_entries.add(replace(opposing, id=0, version=0))

    assert told(desk, write) == (
        "Entry 3 of the use_entries does not take back entry 2 as it was.",
        "Entry 4 of the use_entries does not take back entry 2 as it was.",
    )


def test_a_number_given_twice(desk: AidShop, monkeypatch: pytest.MonkeyPatch) -> None:
    """The books refuse a number given twice; a damaged copy of them is found all the same."""
    one_of_each(desk)
    monkeypatch.setattr("tests.services.fake.ONCE_ONLY", ())
    faults = told(desk, lambda uow: uow.runs.save(replace(uow.runs.get(2), number=1)))
    assert faults == ("Number 1 of the runs is given 2 times.",)


def test_a_counter_that_went_back(desk: AidShop) -> None:
    machine = desk.machine().id

    def write(uow: UnitOfWork) -> None:
        for counter, reset in ((50, False), (10, True), (12, False), (3, False)):
            uow.machine_readings.add(
                MachineReading(machine_id=machine, counter=counter, who_id=1, counter_reset=reset)
            )

    assert told(desk, write) == ("The counter of Lathe 1 went back to 3 without a reset.",)
