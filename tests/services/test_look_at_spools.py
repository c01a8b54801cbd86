"""The rack, and all that happens to a spool."""

from datetime import timedelta

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.materials import (
    Insert,
    InsertEntry,
    Source,
    SpoolEntry,
    SpoolEntryKind,
    SpoolState,
    StockMinimum,
)
from printcrib.services.interfaces import Shop
from printcrib.services.load_spool import load_spool
from printcrib.services.look_at_spools import SpoolRow, look_at_spool, look_at_spools
from printcrib.services.move_spool import mark_damp, open_spool, put_in_dryer, put_on_rack, throw_away
from printcrib.services.plan_runs import repair_plan
from printcrib.services.receive_spool import NewSpool, receive_spool
from printcrib.services.start_run import start_next
from printcrib.services.weigh_spool import weigh_spool


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def use(desk: PrintDesk, spool: str, mg: int, source: Source = Source.WEIGHED, days: float = 1) -> None:
    with desk.shop.write(desk.press(desk.later(-24 * days)), "use") as uow:
        kind = SpoolEntryKind.PRINTED
        entry = SpoolEntry(spool_id=desk.spools[spool], kind=kind, mg=-mg, who_id=0, source=source)
        uow.spool_entries.add(entry)
        uow.commit()


def row(desk: PrintDesk, tag: str) -> SpoolRow:
    return next(each for each in look_at_spools(desk.shop).spools if each.spool.tag == tag)


def test_the_rack(desk: PrintDesk) -> None:
    rack = look_at_spools(desk.shop)
    assert rack.words == "4 spools."
    grey = row(desk, "S-1")
    assert (grey.words, grey.place, grey.left_mg, grey.half_band_mg) == (
        "PLA grey",
        "on North",
        800_000,
        13_160,
    )
    assert (grey.lasts, grey.note, grey.lasts_until) == ("not used lately", "", None)
    assert row(desk, "S-2").place == "shelf"


def test_how_long_a_spool_lasts(desk: PrintDesk) -> None:
    use(desk, "grey", 200_000)
    grey = row(desk, "S-1")
    # 200 g in 20 working days are 10 g a day; 600 - 8 g last 59 working days: 2027-02-15.
    assert grey.lasts == "Mon 15 Feb 2027"
    assert grey.from_day is not None
    assert grey.to_day is not None
    assert grey.from_day < grey.to_day
    assert "to" in grey.note
    story = look_at_spool(desk.shop, desk.spools["grey"])
    assert story.mg_a_day == 10_000
    assert [entry.mg for entry in story.entries] == [-200_000, 800_000]
    assert story.material.name == "PLA"
    assert story.steps == ((desk.now(), 600_000, ""),)


def test_a_spool_that_is_used_up_today(desk: PrintDesk) -> None:
    use(desk, "grey", 795_000)
    assert row(desk, "S-1").lasts_until == desk.now()


def test_a_shop_without_shifts_counts_plain_days(desk: PrintDesk) -> None:
    with desk.shop.write(desk.press(), "no shifts") as uow:
        from dataclasses import replace

        for shift in uow.shifts.find():
            uow.shifts.save(replace(shift, void=True))
        uow.commit()
    use(desk, "grey", 200_000)
    assert row(desk, "S-1").lasts_until == desk.now() + timedelta(days=2)


def test_promised_short_and_below_minimum(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, part_mg=59_000, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    grey = row(desk, "S-1")
    assert (grey.promised_mg, grey.short_mg, grey.will_not_last) == (60_000, 0, False)
    use(desk, "grey", 762_000)
    use(desk, "grey2", 250_000)
    with desk.shop.write(desk.press(), "minimum") as uow:
        uow.stock_minimums.add(StockMinimum(material_id=desk.pla, colour="grey", minimum_mg=150_000))
        uow.commit()
    grey = row(desk, "S-1")
    assert (grey.short_mg, grey.will_not_last, grey.below_minimum) == (30_000, True, True)
    assert (grey.note, grey.lasts) == ("30 g short of run 1", "07:30")
    rack = look_at_spools(desk.shop)
    assert rack.spools[0].spool.tag == "S-1"
    assert rack.words == "4 spools. 1 will not last its run, 1 below minimum."
    story = look_at_spool(desk.shop, desk.spools["grey"])
    assert story.steps[1] == (desk.now() + timedelta(minutes=60), -22_000, "1")


def test_a_spool_that_may_run_out(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, part_mg=59_000, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    use(desk, "grey", 730_000)
    assert row(desk, "S-1").note == "may run out on run 1"
    assert row(desk, "S-1").lasts == "08:00"


def test_notes(desk: PrintDesk) -> None:
    use(desk, "black", 300_000, Source.ASSUMED)
    assert row(desk, "S-3").note == "weigh it"
    mark_damp(desk.shop, desk.press(), desk.spools["carbon"])
    assert row(desk, "S-4").note == "dry it"
    assert look_at_spools(desk.shop).words == "4 spools. 1 to dry."
    desk.change("materials", desk.carbon, drying_c=80, drying_hours=6.0)
    assert row(desk, "S-4").note == "dry 6 h at 80 °C"
    put_in_dryer(desk.shop, desk.press(), desk.spools["carbon"])
    assert (row(desk, "S-4").note, row(desk, "S-4").place) == ("dry 13:00", "in the dryer")


def test_empty_and_gone_spools_are_only_shown_alone(desk: PrintDesk) -> None:
    desk.change("spools", desk.spools["grey2"], state=SpoolState.GONE)
    assert len(look_at_spools(desk.shop).spools) == 3
    assert look_at_spool(desk.shop, desk.spools["grey2"]).row.left_mg == 300_000
    with pytest.raises(NotFound):
        look_at_spool(desk.shop, 99)


def test_inserts_are_on_the_rack(desk: PrintDesk) -> None:
    with desk.shop.write(desk.press(), "inserts") as uow:
        magnet = uow.inserts.add(Insert(name="magnet 6 x 3", minimum=20))
        uow.inserts.add(Insert(name="bushing", minimum=0))
        uow.insert_entries.add(InsertEntry(insert_id=magnet.id, kind="received", amount=12, who_id=0))
        uow.commit()
    bushing, magnet_row = look_at_spools(desk.shop).inserts
    assert (magnet_row.left, magnet_row.below_minimum) == (12, True)
    assert (bushing.left, bushing.below_minimum) == (0, False)


def test_receive_by_the_label_or_by_the_scale(desk: PrintDesk) -> None:
    spool = receive_spool(desk.shop, desk.press(), NewSpool(material_id=desk.asa, colour=" grey ")).value
    assert (spool.tag, spool.colour, spool.state) == ("S-5", "grey", SpoolState.SEALED)
    assert row(desk, "S-5").note == "sealed"
    assert row(desk, "S-5").half_band_mg == 16_450
    weighed = NewSpool(
        material_id=desk.asa,
        colour="grey",
        gross_mg=1_190_000,
        tare_mg=200_000,
        tare_guessed=False,
        sealed=False,
    )
    spool = receive_spool(desk.shop, desk.press(), weighed).value
    assert (spool.state, spool.opened_at, spool.tare_guessed) == (SpoolState.SHELF, desk.now(), False)
    assert desk.entries(spool.id) == [("received", 990_000)]
    unknown = NewSpool(material_id=desk.asa, colour="grey", gross_mg=1_223_000, tare_guessed=False)
    assert receive_spool(desk.shop, desk.press(), unknown).value.tare_guessed


@pytest.mark.parametrize(("colour", "net", "words"), [(" ", 1, "no colour"), ("red", 0, "0 g of filament")])
def test_odd_spools_are_refused(desk: PrintDesk, colour: str, net: int, words: str) -> None:
    with pytest.raises(ShopError, match=words):
        receive_spool(desk.shop, desk.press(), NewSpool(material_id=desk.pla, colour=colour, net_mg=net))


def test_a_weigh_in_is_merged(desk: PrintDesk) -> None:
    use(desk, "grey2", 200_000)
    done = weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 310_000)
    assert done.value.words == "S-2: 90 g left, give or take 2 g."
    assert done.changed >= {"spool_entries"}
    assert abs(done.value.z) < 1
    assert desk.entries(desk.spools["grey2"])[-1] == ("weighed", done.value.change_mg)
    assert row(desk, "S-2").left_mg == 100_000 + done.value.change_mg


def test_a_weigh_in_too_far_off_asks_and_books_nothing(desk: PrintDesk) -> None:
    asked = weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 420_000).value
    assert asked.words == (
        "The scale says 200 g, the books say 300 g, give or take 5 g. "
        "Wrong spool, wrong reel weight, or is the scale right?"
    )
    assert len(desk.entries(desk.spools["grey2"])) == 1
    told = weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 420_000, scale_is_right=True).value
    assert (told.left_mg, told.question) == (200_000, "")
    assert desk.entries(desk.spools["grey2"])[-1] == ("adjusted", -100_000)
    assert row(desk, "S-2").left_mg == 200_000


def test_an_empty_reel_weighed_later(desk: PrintDesk) -> None:
    desk.change("spools", desk.spools["grey2"], tare_mg=None, tare_guessed=True, state=SpoolState.EMPTY)
    told = weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 480_000, tare_mg=180_000).value
    assert (told.spool.tare_mg, told.spool.tare_guessed) == (180_000, False)
    assert told.spool.state is SpoolState.SHELF
    desk.change("spools", desk.spools["grey2"], tare_mg=None, tare_guessed=True)
    assert weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 520_000).value.half_band_mg < 5000


def test_odd_weigh_ins_are_refused(desk: PrintDesk) -> None:
    with pytest.raises(ShopError, match="less than the empty reel"):
        weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 100_000)
    throw_away(desk.shop, desk.press(), desk.spools["grey2"])
    with pytest.raises(ShopError, match="Spool S-2 is gone"):
        weigh_spool(desk.shop, desk.press(), desk.spools["grey2"], 500_000)


def test_from_printer_to_rack_to_dryer(desk: PrintDesk) -> None:
    spool = put_on_rack(desk.shop, desk.press(), desk.spools["grey"], "shelf 2").value
    assert (spool.state, spool.place, spool.dried_at) == (SpoolState.SHELF, "shelf 2", None)
    with desk.shop.read() as uow:
        assert uow.printers.get(desk.north).mounted_spool_id is None
    until = desk.later(4)
    spool = put_in_dryer(desk.shop, desk.press(), spool.id, until).value
    assert (spool.state, spool.dryer_until) == (SpoolState.DRYER, until)
    with pytest.raises(ShopError, match="how long that material dries"):
        put_in_dryer(desk.shop, desk.press(), spool.id)
    spool = put_on_rack(desk.shop, desk.press(), spool.id).value
    assert (spool.state, spool.place, spool.dried_at) == (SpoolState.SHELF, "shelf 2", desk.now())
    assert put_on_rack(desk.shop, desk.press(), spool.id, dry=False).value.damp
    spool = put_on_rack(desk.shop, desk.press(), spool.id).value
    assert spool.damp
    assert not put_on_rack(desk.shop, desk.press(), spool.id, dry=True).value.damp


@pytest.mark.parametrize(("hours", "dried"), [(0, True), (4, False)])
def test_a_spool_loaded_from_the_dryer_after_its_time_is_dried(
    desk: PrintDesk, hours: float, dried: bool
) -> None:
    put_in_dryer(desk.shop, desk.press(), desk.spools["grey2"], desk.later(hours))
    load_spool(desk.shop, desk.press(), desk.north, desk.spools["grey2"])
    with desk.shop.read() as uow:
        spool = uow.spools.get(desk.spools["grey2"])
    assert (spool.state, spool.dryer_until) == (SpoolState.ON_PRINTER, None)
    assert spool.dried_at == (desk.now() if dried else None)


def test_a_sealed_spool_stays_sealed_until_opened(desk: PrintDesk) -> None:
    spool = receive_spool(desk.shop, desk.press(), NewSpool(material_id=desk.asa, colour="grey")).value
    assert put_on_rack(desk.shop, desk.press(), spool.id, "shelf 1").value.state is SpoolState.SEALED
    opened = open_spool(desk.shop, desk.press(), spool.id).value
    assert (opened.state, opened.opened_at) == (SpoolState.SHELF, desk.now())
    with pytest.raises(ShopError, match="is not sealed"):
        open_spool(desk.shop, desk.press(), spool.id)


def test_thrown_away_with_all_that_was_on_it(desk: PrintDesk) -> None:
    spool = throw_away(desk.shop, desk.press(), desk.spools["grey"], "brittle").value
    assert spool.state is SpoolState.GONE
    assert desk.entries(spool.id)[-1] == ("thrown away", -800_000)
    with pytest.raises(ShopError, match="Spool S-1 is gone"):
        put_on_rack(desk.shop, desk.press(), spool.id)


def test_a_spool_that_feeds_a_run_stays(desk: PrintDesk) -> None:
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    start_next(desk.shop, desk.press(), desk.north)
    with pytest.raises(ShopError, match="feeds run 1 on North"):
        throw_away(desk.shop, desk.press(), desk.spools["grey"])


def test_a_spool_in_the_dryer_is_planned_for_its_time(desk: PrintDesk) -> None:
    load_spool(desk.shop, desk.press(), desk.north, None)
    desk.change("spools", desk.spools["grey2"], state=SpoolState.GONE)
    put_in_dryer(desk.shop, desk.press(), desk.spools["grey"], desk.later(4))
    desk.ask(minutes={400: 52.0}, printers=(desk.north,))
    repair_plan(desk.shop, desk.press())
    assert desk.runs()[0].planned_hands_on == desk.later(4)
