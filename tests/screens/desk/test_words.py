"""What the Desk says, and what is filled in at a take-off and a start."""

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.screens.desk.shop import ZONE, AtWork, at_work

from printcrib.core.materials import Source, SpoolEntry, SpoolEntryKind
from printcrib.core.requests import CopyState, RequestState
from printcrib.core.running import Lost
from printcrib.screens.desk.forms import Figure, StartForm, TakeOffForm, Verdicts
from printcrib.screens.desk.picks import NO_SPOOL, key_of, nozzle_picks, spool_picks
from printcrib.screens.desk.printer_row import name_lines
from printcrib.screens.desk.words import (
    card_of,
    fitting,
    free_again_choices,
    grams_left_words,
    loss_words,
    row_words,
    short_moment,
    side_lists,
)
from printcrib.screens.parts import lettering
from printcrib.screens.shell.theme import Theme
from printcrib.services.give_print_file import RunFile
from printcrib.services.judge_copies import NOT_KNOWN, Outcome, Verdict
from printcrib.services.look_at_copies import look_at_copies
from printcrib.services.look_at_desk import look_at_desk
from printcrib.services.look_at_run import look_at_run
from printcrib.services.look_at_start import look_at_start
from printcrib.services.run_by_hand import run_by_hand
from printcrib.services.stop_run import stop_run


@pytest.fixture
def work() -> AtWork:
    return at_work()


class TestCard:
    def test_a_shop_without_printers_begins_in_its_settings(self, work: AtWork) -> None:
        for printer in (work.desk.north, work.desk.south):
            work.desk.change("printers", printer, active=False)
        card = card_of(look_at_desk(work.desk.shop), None)
        assert (card.title, card.press) == ("Begin with a printer", "shop_settings")
        assert [step.words for step in card.steps] == ["Enter printers", "Enter spools"]

    def test_a_shop_without_runs_says_how_one_gets_here(self, work: AtWork) -> None:
        card = card_of(look_at_desk(work.desk.shop), None)
        assert (card.press, card.press_words) == ("raise", "Raise a\nrequest")
        assert [step.number for step in card.steps] == ["10", "20", "30"]

    @pytest.mark.parametrize(("count", "words"), [(1, "1 request waits"), (2, "2 requests wait")])
    def test_requests_that_wait_are_the_next_thing(self, work: AtWork, count: int, words: str) -> None:
        for _ in range(count):
            request = work.desk.ask()
            work.desk.change("requests", request.id, state=RequestState.RAISED)
        card = card_of(look_at_desk(work.desk.shop), None)
        assert card.words.startswith(f"{words} to be accepted")
        assert card.press_words == "See the\nrequests"

    def test_a_run_that_is_over_is_taken_off(self, work: AtWork) -> None:
        work.printing()
        card = card_of(look_at_desk(work.desk.shop), None)
        assert (card.title, card.press, card.press_words) == (
            "Do next on North",
            "take off",
            "Take off\nrun 1",
        )
        assert (card.other_words, card.tells_time) == ("Not all good", True)

    def test_before_it_is_due_the_title_says_when(self, work: AtWork) -> None:
        work.ask(hours=None)
        work.printing(quantity=3)
        work.desk.clock.move(minutes=-60)
        card = card_of(look_at_desk(work.desk.shop), None)
        assert card.title.startswith("Next on North at ")
        assert card.words

    def test_late_already_while_another_run_is_on_it(self, work: AtWork) -> None:
        work.printing(3)
        work.desk.clock.move(minutes=-60)
        work.ask(hours=0.2)
        card = card_of(look_at_desk(work.desk.shop), None)
        assert card.words.startswith("Late for R 2 at ")

    def test_another_printer_may_be_served(self, work: AtWork) -> None:
        work.printing()
        work.desk.ask(printers=(work.desk.south,), material="asa", colour="black", minutes={600: 50.0})
        work.plan()
        card = card_of(look_at_desk(work.desk.shop), work.desk.south)
        assert card.press == "start"
        assert card.other_words == "Not as planned"
        assert card.words.endswith("North is due first")


class TestSideLists:
    def test_three_lists_always_and_the_bench_when_something_lies_there(self, work: AtWork) -> None:
        view, copies = look_at_desk(work.desk.shop), look_at_copies(work.desk.shop)
        assert [each.title for each in side_lists(view, copies)] == [
            "Late or at risk",
            "Aids due",
            "Spools that will not last",
        ]
        work.ask(2, hours=-1)
        for copy in work.desk.copies(1):
            work.desk.change("copies", copy.id, state=CopyState.TO_CHECK)
        bench, late, *_ = side_lists(look_at_desk(work.desk.shop), look_at_copies(work.desk.shop))
        assert (bench.items[0].name, bench.items[0].words) == ("2 to check", "see to them")
        assert late.title == "Late or at risk"

    def test_late_requests_lead_to_their_place(self, work: AtWork) -> None:
        work.ask(hours=0.1)
        late = side_lists(look_at_desk(work.desk.shop), look_at_copies(work.desk.shop))[0].items[0]
        assert (late.place, late.key, late.tone) == ("requests", 1, "signal")
        assert late.name == "R 1 collet tray ER32"

    def test_spools_and_aids_lead_to_theirs(self, work: AtWork) -> None:
        with work.desk.shop.write(work.desk.press(), "use") as uow:
            kind = SpoolEntryKind.PRINTED
            uow.spool_entries.add(SpoolEntry(spool_id=1, kind=kind, mg=-770_000, who_id=0))
            uow.commit()
        work.desk.change("spools", work.desk.spools["grey2"], colour="white")
        work.ask(part_mg=25_000)
        lists = side_lists(look_at_desk(work.desk.shop), look_at_copies(work.desk.shop))
        assert [item.place for item in lists[2].items] in ([], ["spool_rack"])

    def test_as_many_as_there_is_room_for(self) -> None:
        assert fitting([7, 2, 0], 1) == (1, 1, 0)
        assert fitting([7, 2, 0], 4) == (2, 2, 0)
        assert fitting([7, 2, 1], 6) == (3, 2, 1)
        assert fitting([1, 1], 9) == (1, 1)
        assert fitting([], 3) == ()


class TestRowWords:
    def test_a_bare_printer(self, work: AtWork) -> None:
        work.desk.change("printers", work.desk.north, fitted_nozzle_id=None, mounted_spool_id=None)
        row = look_at_desk(work.desk.shop).printers[0]
        assert row_words(row) == "North, no nozzle, no spool, free"
        assert grams_left_words(row, wide=True) == ""

    def test_a_run_its_spool_and_what_comes_next(self, work: AtWork) -> None:
        work.printing()
        work.ask()
        row = look_at_desk(work.desk.shop).printers[0]
        assert row_words(row).startswith("North, nozzle 0.4, PLA grey 800 g ±")
        assert "run 1, done" in row_words(row)
        assert "next run 2 at" in row_words(row)

    def test_grams_say_what_is_short(self, work: AtWork) -> None:
        row = look_at_desk(work.desk.shop).printers[0]
        assert row.spool is not None
        short = replace(row, spool=replace(row.spool, short_mg=60_400, half_band_mg=9_000))
        assert grams_left_words(short, wide=False) == "800 g, 60 short"
        assert grams_left_words(short, wide=True) == "800 g ± 9, 60 short"
        sure = replace(row, spool=replace(row.spool, half_band_mg=0))
        assert grams_left_words(sure, wide=False) == "800 g"
        promised = replace(row, spool=replace(row.spool, half_band_mg=0, promised_mg=96_000))
        assert grams_left_words(promised, wide=True) == "800 g, 96 promised"


@pytest.mark.parametrize(
    ("moment", "short"),
    [("07:04", "07:04"), ("Thu 07:04", "Thu"), ("Mon 30 Nov", "later"), ("Mon 3 Jan 2028", "later")],
)
def test_a_moment_for_a_narrow_block(moment: str, short: str) -> None:
    assert short_moment(moment) == short


def test_moments_for_free_again(work: AtWork) -> None:
    now = work.desk.now().astimezone(ZONE)
    closes, opens = now + timedelta(hours=2, minutes=5), now + timedelta(hours=24)
    shown = [f"{moment:%a %H:%M}" for moment in free_again_choices(now, closes, opens)]
    assert shown == ["Tue 07:30", "Tue 08:00", "Tue 09:05", "Tue 11:00", "Wed 07:00"]
    assert len(free_again_choices(now, now + timedelta(minutes=5), None)) == 4


def test_what_stopping_loses() -> None:
    assert loss_words(Lost(29_000, 135.0, 71.2)) == "Stopped at 71 %, 29 g and 2 h 15 would be lost."


class TestVerdicts:
    def test_the_cause_of_one_counts_for_those_without(self, work: AtWork) -> None:
        work.printing()
        verdicts = Verdicts(look_at_run(work.desk.shop, 1).copies)
        first, second, third = (copy.copy_id for copy in verdicts.copies)
        verdicts.judge_all(Outcome.FAILED)
        assert verdicts.all_lost
        verdicts.name_cause(first, "ran out")
        verdicts.judge(third, Outcome.TO_CHECK)
        verdicts.name_cause(second, "corner lifted")
        assert verdicts.told() == {
            first: Verdict(Outcome.FAILED, "ran out"),
            second: Verdict(Outcome.FAILED, "corner lifted"),
            third: Verdict(Outcome.TO_CHECK),
        }
        assert verdicts.words == "2 failed, 1 to check"
        assert verdicts.cause_of(99) == NOT_KNOWN


class TestTakeOffForm:
    def test_nothing_told_is_all_good(self, work: AtWork) -> None:
        work.printing()
        told = TakeOffForm(look_at_run(work.desk.shop, 1)).told()
        assert told.verdicts is not None
        assert {verdict.outcome for verdict in told.verdicts.values()} == {Outcome.GOOD}
        assert (told.minutes, told.mg, told.percent, told.kept) == (None, None, None, None)

    def test_figures_keep_where_they_were_read(self, work: AtWork) -> None:
        work.printing()
        form = TakeOffForm(look_at_run(work.desk.shop, 1))
        form.minutes, form.grams = Figure(95, Source.PANEL), Figure(58, Source.WEIGHED)
        told = form.told()
        assert (told.minutes, told.minutes_source) == (95, Source.PANEL)
        assert (told.mg, told.grams_source) == (58_000, Source.WEIGHED)

    def test_a_stopped_run_has_failed_so_far(self, work: AtWork) -> None:
        work.printing()
        stop_run(work.desk.shop, work.desk.press(), 1, 40)
        form = TakeOffForm(look_at_run(work.desk.shop, 1))
        assert form.verdicts.all_lost
        assert form.told().percent == 40

    def test_a_run_by_hand_may_be_kept(self, work: AtWork) -> None:
        run = run_by_hand(
            work.desk.shop, work.desk.press(), work.desk.south, work.desk.later(1), name="gauge"
        ).value.run
        form = TakeOffForm(look_at_run(work.desk.shop, run.id))
        assert form.by_hand
        assert form.told().kept is None
        form.keeps, form.quantity, form.spool_id = True, 2, work.desk.spools["black"]
        told = form.told()
        assert told.kept is not None
        assert (told.kept.words, told.kept.quantity, told.spool_id) == ("gauge", 2, 3)
        assert told.verdicts is None


class TestStartForm:
    def test_as_planned(self, work: AtWork) -> None:
        work.ask()
        form = StartForm(look_at_start(work.desk.shop, work.desk.north))
        told = form.told()
        assert (told.nozzle_id, told.spool_id, told.minutes, told.mg) == (1, 1, None, None)
        assert form.offers() == ()

    def test_too_few_grams_offer_what_would_do(self, work: AtWork) -> None:
        work.ask(part_mg=20_000)
        form = StartForm(look_at_start(work.desk.shop, work.desk.north))
        form.grams = Figure(900, Source.FILE)
        assert form.short_mg
        second = form.offers()
        assert [offer.words for offer in second] == ["S-2 goes on after it (292 g)"]
        form.take(second[0])
        assert form.short_mg == 0
        assert form.offers() == ()
        assert (form.told().second_spool_id, form.told().mg) == (2, 900_000)

    def test_another_spool_alone_may_do(self, work: AtWork) -> None:
        work.ask(part_mg=20_000)
        form = StartForm(look_at_start(work.desk.shop, work.desk.north))
        form.spool_id, form.grams = work.desk.spools["grey2"], Figure(400, Source.PANEL)
        assert [offer.words for offer in form.offers()] == [
            "S-1 goes on after it (792 g)",
            "Load S-1 instead (792 g)",
        ]
        form.spool_id = None
        assert form.offers() == ()

    def test_a_print_file_fills_minutes_and_grams(self, work: AtWork) -> None:
        work.ask()
        form = StartForm(look_at_start(work.desk.shop, work.desk.north))
        form.take_file(RunFile(name="run 1.nc", sha256="ab", minutes=95.4, mg=19_400, words="1 h 35"))
        assert (form.minutes, form.grams) == (Figure(95, Source.FILE), Figure(19, Source.FILE))
        told = form.told()
        assert (told.minutes, told.mg, told.print_file_sha) == (95.4, 19_400, "ab")
        assert (told.minutes_source, told.grams_source) == (Source.FILE, Source.FILE)
        form.minutes, form.grams = Figure(90, Source.PANEL), Figure(21, Source.FILE)
        told = form.told()
        assert (told.minutes, told.minutes_source, told.mg) == (90, Source.PANEL, 21_000)


def test_picks(work: AtWork) -> None:
    work.ask()
    choices = look_at_start(work.desk.shop, work.desk.north).choices
    assert nozzle_picks(choices.nozzles)[1].second == "not for this run"
    picks = spool_picks(choices.spools, nothing="Nobody looked")
    assert (picks[0].id, picks[1].words) == (NO_SPOOL, "PLA grey, S-1")
    assert picks[1].chip.startswith("#")
    assert key_of(picks[0].id) is None
    assert key_of("12") == 12


class TestPrinterName:
    def test_a_name_is_whole_before_it_is_large(self, theme: Theme) -> None:
        largest, least = lettering.CARD_PT, lettering.TEXT_PT
        room = lettering.metrics(least, "strong").horizontalAdvance("Printer 1") + 1.0
        assert name_lines("North", room, largest) == (largest, ("North",))
        assert name_lines("Printer 1", room, largest) == (least, ("Printer 1",))
        assert name_lines("Printer by the door", room, largest) == (least, ("Printer", "by the door"))
        assert name_lines("Printerbythedoor", room, largest) == (least, ("Printerbythedoor",))
