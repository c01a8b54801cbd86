"""Undo: everything as it was, by whom it may be, and no longer once something leans on it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.services.aid_shop import AidShop, aid_shop
from tests.services.fake import FakeClock, fake_shop
from tests.services.own_shop import TALL

from printcrib.core.aids import AidState, RetireReason
from printcrib.core.errors import NotFound, ShopError
from printcrib.core.materials import Insert, InsertEntry, Source, SpoolEntry, SpoolEntryKind
from printcrib.core.patterns import CountedBy
from printcrib.core.requests import CopyState, Hold, HoldKind, RequestState
from printcrib.core.shop import Attachment
from printcrib.services.book_rules import KINDS
from printcrib.services.count_use import correct_count, count_use, read_counter
from printcrib.services.finish_copy import finish_copies, shelve
from printcrib.services.hand_out_aid import To, hand_out
from printcrib.services.interfaces import Shop, UnitOfWork, is_
from printcrib.services.press import Press
from printcrib.services.read_runs import doubt_of
from printcrib.services.retire_aid import retire
from printcrib.services.set_aside_aid import back_to_shelf, set_aside
from printcrib.services.take_request import NewRequest, raise_request
from printcrib.services.undo_press import Undone, can_undo, undo


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> AidShop:
    """A shop with a pattern."""
    return aid_shop(shop, clock)


def live(shop: Shop) -> dict[str, list[dict[str, Any]]]:
    """What counts in the books: values of all records, but for versions; ledgers as their sums."""
    found: dict[str, list[dict[str, Any]]] = {}
    with shop.read() as uow:
        for name in KINDS:
            if name not in ("use_entries", "spool_entries", "insert_entries"):
                rows = [vars(record) for record in getattr(uow, name).find()]
                found[name] = [{key: row[key] for key in row if key != "version"} for row in rows]
        for table, amount, owner in (
            ("use_entries", "amount", "aid_id"),
            ("spool_entries", "mg", "spool_id"),
            ("insert_entries", "amount", "insert_id"),
        ):
            sums = getattr(uow, table).totals(amount, owner)
            found[table] = [{key: total} for key, total in sorted(sums.items()) if total]
    return found


def booked(desk: AidShop, write: Callable[[UnitOfWork], None], who: str = "Dora", verb: str = "try") -> int:
    """A press of any kind; gives its number."""
    with desk.shop.write(desk.own.press(who), verb) as uow:
        write(uow)
        uow.commit()
        return uow.press_number


def test_the_tag_of_an_undone_aid_is_void_and_not_given_again(desk: AidShop) -> None:
    (copy,) = desk.printed()
    before = live(desk.shop)
    done = finish_copies(desk.shop, desk.own.press(), [copy.id])
    undone = undo(desk.shop, desk.own.press(), done.press_number)
    assert undone.value == Undone("finish copies", restored=1, opposed=0, voided=1)
    assert live(desk.shop) == before
    again = finish_copies(desk.shop, desk.own.press(), [copy.id]).value[0]
    assert desk.aid(again.aid_id or 0).tag == "T-0002"
    with desk.shop.read() as uow:
        assert [aid.void for aid in uow.aids.find(with_void=True)] == [True, False]


def test_grams_counts_and_inserts_come_back_by_opposing_entries(desk: AidShop) -> None:
    aid = desk.in_use()
    with desk.shop.write(desk.own.press(), "insert") as uow:
        insert = uow.inserts.add(Insert(name="bushing"))
        uow.commit()
    count_use(desk.shop, desk.own.press(), aid.id, 12)
    with desk.shop.read() as uow:
        spool = uow.spools.find()[0]
        left = doubt_of(uow, spool)
    before = live(desk.shop)

    def write(uow: UnitOfWork) -> None:
        who = uow.press.who_id
        uow.spool_entries.add(
            SpoolEntry(spool_id=spool.id, kind=SpoolEntryKind.PRINTED, mg=-31_416, who_id=who)
        )
        uow.insert_entries.add(InsertEntry(insert_id=insert.id, kind="received", amount=40, who_id=who))

    number = booked(desk, write)
    count = count_use(desk.shop, desk.own.press(), aid.id, 7)
    assert undo(desk.shop, desk.own.press(), count.press_number).value.opposed == 1
    assert undo(desk.shop, desk.own.press(), number).value == Undone("try", opposed=2)
    assert live(desk.shop) == before
    assert desk.count(aid.id) == 12
    with desk.shop.read() as uow:
        assert doubt_of(uow, spool) == left
        opposing = uow.spool_entries.find(order_by="id", newest_first=True)[0]
        assert (opposing.kind, opposing.mg, opposing.who_id) == (
            SpoolEntryKind.OPPOSED,
            31_416,
            desk.own.who("Dora"),
        )


def test_a_weigh_in_leans_on_the_grams_before_it(desk: AidShop) -> None:
    def entry(mg: int, kind: SpoolEntryKind, gross: int | None = None) -> Callable[[UnitOfWork], None]:
        def write(uow: UnitOfWork) -> None:
            spool = uow.spools.find()[0]
            uow.spool_entries.add(
                SpoolEntry(
                    spool_id=spool.id,
                    kind=kind,
                    mg=mg,
                    who_id=uow.press.who_id,
                    gross_mg=gross,
                    source=Source.WEIGHED,
                )
            )

        return write

    printed = booked(desk, entry(-5000, SpoolEntryKind.PRINTED))
    weighed = booked(desk, entry(-200, SpoolEntryKind.WEIGHED, 900_000))
    with pytest.raises(ShopError, match="it was weighed or corrected since"):
        undo(desk.shop, desk.own.press(), printed)
    undo(desk.shop, desk.own.press(), weighed)
    assert undo(desk.shop, desk.own.press(), printed).value.opposed == 1


def test_a_correction_leans_on_the_counts_before_it(desk: AidShop) -> None:
    aid = desk.in_use()
    first = count_use(desk.shop, desk.own.press(), aid.id, 10)
    correct_count(desk.shop, desk.own.press(), aid.id, 30)
    count_use(desk.shop, desk.own.press(), aid.id, 1)
    with pytest.raises(ShopError, match="weighed or corrected since"):
        undo(desk.shop, desk.own.press(), first.press_number)


def test_a_later_reading_leans_on_the_one_before_it(desk: AidShop) -> None:
    desk.in_use(to=To(machine_id=desk.machine().id, counted_by=CountedBy.READING, counter=5))
    desk.clock.move(days=1)
    first = read_counter(desk.shop, desk.own.press(), desk.machine().id, 50)
    desk.clock.move(days=1)
    second = read_counter(desk.shop, desk.own.press(), desk.machine().id, 60)
    with pytest.raises(ShopError, match="the part counter was read since"):
        undo(desk.shop, desk.own.press(), first.press_number)
    undo(desk.shop, desk.own.press(), second.press_number)
    undo(desk.shop, desk.own.press(), first.press_number)
    assert read_counter(desk.shop, desk.own.press(), desk.machine().id, 70).value.parts == 65


def test_the_same_person_the_desk_and_the_lead_undo(desk: AidShop) -> None:
    aid = desk.in_use()
    count = count_use(desk.shop, desk.own.press("Max"), aid.id, 10)
    with pytest.raises(ShopError, match="Somebody else pressed count use"):
        undo(desk.shop, desk.own.press("Otto"), count.press_number)
    undo(desk.shop, desk.own.press("Max"), count.press_number)
    for who in ("Dora", "Lea"):
        count = count_use(desk.shop, desk.own.press("Max"), aid.id, 10)
        undo(desk.shop, desk.own.press(who), count.press_number)
    assert desk.count(aid.id) == 0


def test_twice_is_refused_and_so_is_undoing_an_undo(desk: AidShop) -> None:
    aid = desk.in_use()
    count = count_use(desk.shop, desk.own.press(), aid.id, 10)
    undone = undo(desk.shop, desk.own.press(), count.press_number)
    with pytest.raises(ShopError, match="This is undone already"):
        undo(desk.shop, desk.own.press(), count.press_number)
    with pytest.raises(ShopError, match="That was an undo itself"):
        undo(desk.shop, desk.own.press(), undone.press_number)
    with pytest.raises(NotFound, match="There is no such press"):
        undo(desk.shop, desk.own.press(), 9999)


def test_an_opposing_booking_made_elsewhere_is_not_undone(desk: AidShop) -> None:
    aid = desk.in_use()
    count = count_use(desk.shop, desk.own.press(), aid.id, 10).value.entry

    def oppose(uow: UnitOfWork) -> None:
        uow.use_entries.add(replace(count, id=0, version=0, amount=-10, opposes_id=count.id))

    number = booked(desk, oppose)
    with pytest.raises(ShopError, match="an opposing booking itself"):
        undo(desk.shop, desk.own.press(), number)


def test_a_changed_record_leans(desk: AidShop) -> None:
    aid = desk.in_use()
    aside = set_aside(desk.shop, desk.own.press(), aid.id, "cracked")
    retire(desk.shop, desk.own.press(), aid.id, RetireReason.BROKEN)
    with pytest.raises(ShopError, match=r"aid T-0001 was changed since \(retire aid\)") as refused:
        undo(desk.shop, desk.own.press(), aside.press_number)
    assert refused.value.do == "Undo that first, or book a correction."


def test_an_edit_is_undone_once(desk: AidShop) -> None:
    aside = set_aside(desk.shop, desk.own.press(), desk.in_use().id, "cracked")
    undo(desk.shop, desk.own.press(), aside.press_number)
    with pytest.raises(ShopError, match="This is undone already"):
        undo(desk.shop, desk.own.press(), aside.press_number)


def test_a_count_leans_on_the_hand_out(desk: AidShop) -> None:
    (copy,) = desk.ready()
    to = To(machine_id=desk.machine().id)
    handed = hand_out(desk.shop, desk.own.press(), copy.id, to)
    count = count_use(desk.shop, desk.own.press(), copy.aid_id or 0, 3)
    with pytest.raises(ShopError, match="this use entry came later and leans on aid T-0001"):
        undo(desk.shop, desk.own.press(), handed.press_number)
    with desk.shop.read() as uow:
        assert can_undo(uow, count.press_number) is None
        assert str(can_undo(uow, handed.press_number)).startswith("This cannot be undone any more")


def test_a_later_copy_leans_on_the_request(desk: AidShop) -> None:
    raised = raise_request(
        desk.shop,
        desk.own.press("Max"),
        NewRequest(size_id=desk.size.id, needed_by=desk.clock.now(), safety_answers=()),
    )
    with desk.shop.read() as uow:
        assert can_undo(uow, raised.press_number) is None

    def hold(uow: UnitOfWork) -> None:
        uow.holds.add(Hold(request_id=raised.value.id, kind=HoldKind.QUESTION))

    booked(desk, hold)
    with pytest.raises(ShopError, match="this hold came later and leans on request R 1"):
        undo(desk.shop, desk.own.press("Max"), raised.press_number)


def test_files_stay(desk: AidShop) -> None:
    def write(uow: UnitOfWork) -> None:
        uow.attachments.add(Attachment(sha256="0" * 64, bytes=3, kind="stl"))
        uow.inserts.add(Insert(name="magnet"))

    number = booked(desk, write)
    assert undo(desk.shop, desk.own.press(), number).value.voided == 1
    with desk.shop.read() as uow:
        assert uow.attachments.one(is_("sha256", "0" * 64)) is not None


def test_a_request_with_its_file_is_undone_as_a_whole(desk: AidShop) -> None:
    asked = desk.own.ask(file=TALL)
    with desk.shop.read() as uow:
        number = uow.changes.of_thing("requests", asked.id)[-1].press_number
    undo(desk.shop, desk.own.press("Max"), number)
    with desk.shop.read() as uow:
        assert uow.requests.find() == ()
        assert [model.size_id for model in uow.models.find()] == [desk.size.id]


def test_made_and_edited_in_one_press_is_void_afterwards(desk: AidShop) -> None:
    def write(uow: UnitOfWork) -> None:
        insert = uow.inserts.add(Insert(name="magnet"))
        uow.inserts.save(replace(insert, minimum=5))

    before = live(desk.shop)
    number = booked(desk, write)
    assert undo(desk.shop, desk.own.press(), number).value.voided == 1
    assert live(desk.shop) == before


STEPS = ("finish", "hand out", "count", "aside", "shelf", "retire", "shelve")


def act(desk: AidShop, what: str, copy_id: int) -> int:
    """Do one thing with the copy or its aid, if it can be done; gives the press, 0 when it was refused."""
    press = desk.own.press()
    aid_id = desk.copy(copy_id).aid_id or 0
    acts: dict[str, Callable[[], Any]] = {
        "finish": lambda: finish_copies(desk.shop, press, [copy_id]),
        "hand out": lambda: hand_out(desk.shop, press, copy_id, To(machine_id=desk.machine().id)),
        "count": lambda: count_use(desk.shop, press, aid_id, 400),
        "aside": lambda: set_aside(desk.shop, press, aid_id, "cracked"),
        "shelf": lambda: back_to_shelf(desk.shop, press, aid_id),
        "retire": lambda: retire(desk.shop, press, aid_id, RetireReason.WORN_OUT),
        "shelve": lambda: shelve(desk.shop, press, copy_id),
    }
    try:
        return int(acts[what]().press_number)
    except ShopError:
        return 0


@given(st.lists(st.sampled_from(STEPS), max_size=10))
def test_undoing_everything_backwards_restores_everything(steps: list[str]) -> None:
    """Whatever was done, undone in reverse order the books count exactly what they counted before."""
    clock = FakeClock()
    desk = aid_shop(fake_shop(clock=clock), clock)
    desk.edit_pattern(reliability="locating", expected_life=500)
    (copy,) = desk.printed()
    states: list[tuple[int, dict[str, Any]]] = []
    for what in steps:
        clock.move(minutes=11)
        before = live(desk.shop)
        number = act(desk, what, copy.id)
        if number:
            states.append((number, before))
    for number, before in reversed(states):
        clock.move(minutes=11)
        undo(desk.shop, Press(who_id=desk.own.who("Dora")), number)
        assert live(desk.shop) == before
    assert desk.copy(copy.id).state is CopyState.FINISHING
    assert desk.request_of(copy).state is RequestState.ACCEPTED


def test_states_named_in_the_steps_are_reached(desk: AidShop) -> None:
    """The property above means something only if its steps really act."""
    (copy,) = desk.printed()
    reached = [
        act(desk, what, copy.id) > 0 for what in ("finish", "hand out", "count", "aside", "shelf", "retire")
    ]
    assert reached == [True] * 6
    assert desk.aid(1).state is AidState.RETIRED
    assert act(desk, "shelve", copy.id) == 0
    with desk.shop.read() as uow:
        assert uow.use_entries.count(is_("aid_id", 1)) == 1
