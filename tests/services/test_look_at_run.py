"""One run in full, and what is asked before a start."""

import pytest
from tests.services.fake import FakeClock
from tests.services.print_desk import PrintDesk, furnish

from printcrib.core.errors import NotFound, ShopError
from printcrib.core.materials import SpoolEntry, SpoolEntryKind
from printcrib.core.runs import Run, RunState
from printcrib.services.interfaces import Shop
from printcrib.services.judge_copies import Outcome, Verdict
from printcrib.services.look_at_run import look_at_run
from printcrib.services.look_at_start import look_at_printer, look_at_start
from printcrib.services.plan_runs import repair_plan
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.start_run import Start, start_next
from printcrib.services.stop_run import stop_run
from printcrib.services.take_off_run import TakeOff, take_off_run


@pytest.fixture
def desk(shop: Shop, clock: FakeClock) -> PrintDesk:
    return furnish(shop, clock)


def planned(desk: PrintDesk, quantity: int = 1, **ask: object) -> Run:
    ask.setdefault("printers", (desk.north,))
    ask.setdefault("minutes", {400: 92.0})
    desk.ask(quantity, **ask)  # type: ignore[arg-type]
    repair_plan(desk.shop, desk.press())
    return desk.runs(RunState.KEPT)[-1]


def use(desk: PrintDesk, spool: str, mg: int) -> None:
    with desk.shop.write(desk.press(), "use") as uow:
        kind = SpoolEntryKind.PRINTED
        uow.spool_entries.add(SpoolEntry(spool_id=desk.spools[spool], kind=kind, mg=-mg, who_id=0))
        uow.commit()


class TestRunPage:
    def test_a_planned_run(self, desk: PrintDesk) -> None:
        run = planned(desk, 2)
        page = look_at_run(desk.shop, run.id)
        assert (page.title, page.printer, page.bore, page.material) == ("Run 1", "North", "0.4", "PLA grey")
        assert (page.is_planned, page.on_printer) == (True, False)
        assert [(c.tag, c.name, c.asker, c.words) for c in page.copies] == [
            ("R 1/1", "collet tray ER32", "Ann", "on run"),
            ("R 1/2", "collet tray ER32", "Ann", "on run"),
        ]
        assert page.took == (
            ("Minutes", "3 h 13 to 4 h 02, estimated"),
            ("Grams", "41 g, estimated"),
        )
        assert page.layout == "rows, 5 mm apart, on 220 x 220 mm"

    def test_how_the_copies_stand_is_said_until_the_start(self, desk: PrintDesk) -> None:
        run = planned(desk)
        desk.change("printers", desk.north, platform_mm=(235.0, 210.5))
        assert look_at_run(desk.shop, run.id).layout == "alone on 235 x 210.5 mm"
        start_next(desk.shop, desk.press(), desk.north)
        assert look_at_run(desk.shop, run.id).layout == ""

    def test_a_run_with_figures_told_at_its_start(self, desk: PrintDesk) -> None:
        run = planned(desk)
        start_next(desk.shop, desk.press(), desk.north, Start(minutes=95, mg=19_000))
        page = look_at_run(desk.shop, run.id)
        assert page.took == (("Minutes", "1 h 35, by the print file"), ("Grams", "19 g, by the print file"))
        assert (page.minutes, page.mg, page.on_printer, page.spools) == (95, 19_000, True, ("S-1",))

    def test_a_run_taken_off_with_a_failed_copy(self, desk: PrintDesk) -> None:
        run = planned(desk)
        start_next(desk.shop, desk.press(), desk.north)
        desk.clock.move(minutes=50)
        stop_run(desk.shop, desk.press(), run.id)
        copy = desk.copies(1)[0]
        verdict = Verdict(Outcome.FAILED, "ran out")
        take_off_run(desk.shop, desk.press(), run.id, TakeOff(verdicts={copy.id: verdict}, minutes=51))
        page = look_at_run(desk.shop, run.id)
        assert page.copies[0].words == "failed: ran out"
        assert page.took == (
            ("Minutes", "51 min, by the panel"),
            ("Grams", "11 g, assumed"),
            ("Stopped at", "50 %"),
        )
        assert not page.on_printer

    def test_a_run_by_hand_names_nothing_it_does_not_know(self, desk: PrintDesk) -> None:
        desk.change("printers", desk.south, fitted_nozzle_id=None)
        by_hand = run_by_hand(desk.shop, desk.press(), desk.south, desk.later(1), name="gauge").value.run
        page = look_at_run(desk.shop, by_hand.id)
        assert (page.title, page.bore, page.material, page.copies) == ("Run 1, gauge", "", "", ())

    def test_words_only_and_one_off_requests(self, desk: PrintDesk) -> None:
        run = planned(desk, words="the odd bracket")
        desk.change("patterns", 1, listed=False)
        assert look_at_run(desk.shop, run.id).copies[0].name == "the odd bracket"
        desk.change("requests", 1, size_id=None, asker_id=0)
        copy = look_at_run(desk.shop, run.id).copies[0]
        assert (copy.name, copy.asker) == ("the odd bracket", "the tool")

    def test_no_such_run(self, desk: PrintDesk) -> None:
        with pytest.raises(NotFound):
            look_at_run(desk.shop, 99)


class TestBeforeStart:
    def test_all_is_as_planned(self, desk: PrintDesk) -> None:
        run = planned(desk, 2)
        before = look_at_start(desk.shop, desk.north)
        assert (before.run.id, before.bore, before.material) == (run.id, "0.4", "PLA grey")
        assert (before.nozzle_id, before.spool_id) == (desk.nozzles["4"], desk.spools["grey"])
        assert (before.minutes, before.mg, before.need_mg) == (193, 41_000, 41_000)
        assert len(before.copies) == 2
        assert before.unsure == ()
        nozzles = before.choices.nozzles
        assert [(n.words, n.second, n.will_do) for n in nozzles] == [
            ("Nozzle 0.4, N-1", "fitted now", True),
            ("Nozzle 0.6, N-3", "", False),
            ("Nozzle 0.6, N-4", "hardened", False),
        ]
        assert [(s.words, s.second, s.will_do) for s in before.choices.spools] == [
            ("PLA grey, S-1", "800 g, on it now", True),
            ("PLA grey, S-2", "300 g, shelf", True),
            ("PA carbon black, S-4", "500 g, shelf", False),
            ("ASA black, S-3", "900 g, on South", False),
        ]

    def test_an_abrasive_material_wants_a_hardened_nozzle(self, desk: PrintDesk) -> None:
        planned(desk, material="carbon", colour="black", minutes={600: 60.0})
        before = look_at_start(desk.shop, desk.north)
        assert [n.second for n in before.choices.nozzles if n.will_do] == ["hardened"]
        assert before.nozzle_id == desk.nozzles["6h"]
        assert before.spool_id == desk.spools["carbon"]
        assert before.need_mg > before.mg

    def test_a_bare_printer_asks(self, desk: PrintDesk) -> None:
        planned(desk)
        desk.change("printers", desk.north, fitted_nozzle_id=None, mounted_spool_id=None)
        for name in ("4", "6n"):
            desk.change("nozzles", desk.nozzles[name], retired=True)
        for name in ("grey", "grey2"):
            desk.change("spools", desk.spools[name], colour="white")
        before = look_at_start(desk.shop, desk.north)
        assert (before.nozzle_id, before.spool_id) == (None, None)
        assert before.unsure == (
            "No nozzle that will do is noted; say which one is fitted.",
            "No spool that will do is noted; say which one is on it.",
        )

    def test_a_run_that_names_neither_spool_nor_material(self, desk: PrintDesk) -> None:
        run = planned(desk)
        desk.change("runs", run.id, spool_ids=(), material_id=None)
        before = look_at_start(desk.shop, desk.north)
        assert before.spool_id == desk.spools["grey"]
        assert before.material == "unknown material grey"

    def test_another_spool_than_planned_is_gone(self, desk: PrintDesk) -> None:
        run = planned(desk)
        desk.change("runs", run.id, spool_ids=(desk.spools["black"],))
        assert look_at_start(desk.shop, desk.north).spool_id == desk.spools["grey"]

    def test_a_thin_rest_is_not_trusted(self, desk: PrintDesk) -> None:
        planned(desk, part_mg=40_000)
        use(desk, "grey", 745_000)
        before = look_at_start(desk.shop, desk.north)
        assert len(before.unsure) == 1
        assert before.unsure[0].startswith("S-1 may not be enough: the run takes 41 g, 55 g ±")

    def test_after_a_run_by_hand_nobody_knows_the_spool(self, desk: PrintDesk) -> None:
        by_hand = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1)).value.run
        desk.clock.move(hours=1)
        take_off_run(desk.shop, desk.press(), by_hand.id)
        planned(desk)
        assert look_at_start(desk.shop, desk.north).unsure == (
            "Run 1 was by hand and nobody said which spool it used.",
        )

    def test_after_a_run_by_hand_with_its_spool(self, desk: PrintDesk) -> None:
        spool = desk.spools["grey"]
        by_hand = run_by_hand(desk.shop, desk.press(), desk.north, desk.later(1), spool_id=spool).value.run
        desk.clock.move(hours=1)
        take_off_run(desk.shop, desk.press(), by_hand.id)
        planned(desk)
        assert look_at_start(desk.shop, desk.north).unsure == ()

    def test_a_spool_that_feeds_a_run_elsewhere_will_not_do(self, desk: PrintDesk) -> None:
        planned(desk, material="asa", colour="black", minutes={600: 60.0}, printers=(desk.south,))
        start_next(desk.shop, desk.press(), desk.south)
        black = next(s for s in look_at_printer(desk.shop, desk.north).spools if s.tag == "S-3")
        assert (black.second, black.will_do) == ("900 g, on South", False)

    def test_nothing_is_planned(self, desk: PrintDesk) -> None:
        with pytest.raises(ShopError, match="Nothing is planned on North"):
            look_at_start(desk.shop, desk.north)

    def test_what_may_be_on_a_printer(self, desk: PrintDesk) -> None:
        choices = look_at_printer(desk.shop, desk.south)
        assert [n.second for n in choices.nozzles] == ["fitted now", "", "hardened"]
        assert all(choice.will_do for choice in choices.nozzles)
        assert [s.tag for s in choices.spools] == ["S-3", "S-4", "S-2", "S-1"]
        assert all(choice.will_do for choice in choices.spools)
        assert (choices.closes_at, choices.opens_next) == (desk.later(10), desk.later(24))
        desk.clock.move(hours=12)
        choices = look_at_printer(desk.shop, desk.south)
        assert (choices.closes_at, choices.opens_next) == (None, desk.later(12))
