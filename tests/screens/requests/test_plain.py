"""Needed by, the form, safety words and the answer's columns: plain Python."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from tests.screens.requests.shop import ZONE
from tests.services.fake import TUESDAY_MORNING

from printcrib.core.patterns import Fineness
from printcrib.core.requests import Request
from printcrib.screens.requests.columns import CHOSEN, SUGGESTED, columns_of, marked, suggested_um
from printcrib.screens.requests.form import (
    FILE,
    PATTERN,
    WORDS,
    Form,
    ask_of,
    form_from,
    form_of,
    form_text,
    missing_of,
)
from printcrib.screens.requests.needed import (
    PROGRAM,
    SET,
    SOON,
    TODAY,
    TOMORROW,
    at_wall,
    day_of_month,
    needed_words,
    quick_picks,
    whole_minute,
)
from printcrib.services.say_when import NozzleAnswer

NOW = TUESDAY_MORNING


class TestNeededBy:
    def test_quick_picks_are_two_hours_today_and_tomorrow_noon(self) -> None:
        picks = {pick.id: pick for pick in quick_picks(NOW, ZONE)}
        assert list(picks) == [SOON, TODAY, TOMORROW, SET, PROGRAM]
        assert picks[SOON].moment == NOW + timedelta(hours=2)
        assert picks[TODAY].moment == datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
        assert picks[TOMORROW].moment == datetime(2026, 11, 25, 11, 0, tzinfo=UTC)

    def test_today_16_is_not_offered_once_it_is_past(self) -> None:
        picks = [pick.id for pick in quick_picks(NOW + timedelta(hours=10), ZONE)]
        assert TODAY not in picks

    @pytest.mark.parametrize(("minute", "shown"), [(0, 0), (1, 15), (15, 15), (52, 60)])
    def test_odd_minutes_go_up_to_the_quarter(self, minute: int, shown: int) -> None:
        assert whole_minute(NOW + timedelta(minutes=minute)) == NOW + timedelta(minutes=shown)

    def test_a_typed_day_is_the_next_such_day(self) -> None:
        today = date(2026, 11, 24)
        assert day_of_month(today, 28, 365) == 4
        assert day_of_month(today, 3, 365) == 9
        assert day_of_month(today, 32, 365) == 0

    def test_the_clock_time_is_always_said(self) -> None:
        assert needed_words(NOW, NOW + timedelta(hours=2), ZONE) == "09:00 today"
        assert needed_words(NOW, NOW + timedelta(days=2), ZONE) == "Thu 07:00"
        assert needed_words(NOW, NOW + timedelta(days=8), ZONE) == "Wed 2 Dec 07:00"

    def test_a_wall_time_that_is_skipped_moves_forward(self) -> None:
        # the clocks of Vienna go from 02:00 to 03:00 on 28 March 2027 (EU directive 2000/84/EC)
        assert at_wall(date(2027, 3, 28), 150, ZONE) == datetime(2027, 3, 28, 1, 30, tzinfo=UTC)


class TestForm:
    def test_an_empty_form_is_not_worth_keeping(self) -> None:
        assert not Form(asker_id=3).begun
        assert Form(asker_id=3, words="a stop").begun

    def test_kept_text_comes_back_as_the_same_form(self) -> None:
        form = Form(what=FILE, file_path="/tmp/a.stl", safety=(1, 2), labels="A\nB", by_labels=True)
        assert form_from(form_text(form)) == form

    @pytest.mark.parametrize(
        "text", ["", "[]", "{", '{"how_fine": "very"}', '{"needed_at": "x", "when": "set"}', "null"]
    )
    def test_text_that_is_none_of_ours_is_an_empty_form(self, text: str) -> None:
        assert form_from(text) == Form()

    def test_a_field_of_a_later_version_is_left_out(self) -> None:
        assert form_from('{"words": "stop", "of_tomorrow": 1}') == Form(words="stop")

    @pytest.mark.parametrize(
        ("form", "missing"),
        [
            (Form(), {"what", "when"}),
            (Form(what=WORDS, words=" "), {"what", "when"}),
            (Form(what=WORDS, photo_path="/a.jpg", when=PROGRAM), set()),
            (Form(what=FILE, when=SET), {"what"}),
            (Form(size_id=1, when=SET, by_labels=True), {"labels"}),
            (Form(size_id=1, when=SET, by_labels=True, labels="A\nA"), {"labels"}),
        ],
    )
    def test_what_is_missing_stands_at_its_cause(self, form: Form, missing: set[str]) -> None:
        assert set(missing_of(form)) == missing

    def test_when_the_program_is_ready(self) -> None:
        form = Form(what=WORDS, words="a stop", when=PROGRAM, hours=3)
        ask = ask_of(form, NOW, file=None, photo=b"", photo_kind="jpeg")
        assert (ask.needed_by, ask.program_ready_at) == (None, NOW + timedelta(hours=3))

    def test_only_what_was_chosen_is_asked_for(self) -> None:
        form = Form(what=WORDS, words="a stop", size_id=4, by_labels=True, labels="A1\n\nA2 ", scale=150)
        ask = ask_of(form, NOW, file=None, photo=b"", photo_kind="jpeg")
        assert (ask.size_id, ask.labels, ask.quantity, ask.scale) == (None, ("A1", "A2"), 2, 1.5)
        assert ask_of(replace(form, what=PATTERN), NOW, file=None, photo=b"", photo_kind="").size_id == 4

    def test_same_use_leaves_the_answers_to_the_release(self) -> None:
        form = Form(size_id=4, safety=(2,), same_use=True)
        ask = ask_of(form, NOW, file=None, photo=b"", photo_kind="jpeg")
        assert (ask.same_use, ask.safety_answers) == (True, None)

    def test_a_stored_request_as_a_form(self) -> None:
        request = Request(number=1, asker_id=2, entered_by_id=2, needed_by=NOW, job="4711", labels=("A",))
        form = form_of(request)
        assert (form.when, form.needed_by(NOW), form.job, form.copies) == (SET, NOW, "4711", 1)
        assert form_of(replace(request, needed_by=None)).when == ""

    def test_what_the_answer_hangs_on(self) -> None:
        asked = Form(how_fine="fine", quantity=3, safety=(1,), bore_um=400).asked(NOW)
        assert (asked.how_fine, asked.quantity, asked.safety_answers) == (Fineness.FINE, 3, (1,))
        assert asked.bore_um == 400


def nozzle(bore: int, minutes: float, **rest: object) -> NozzleAnswer:
    told: dict[str, object] = {"allowed": True, "printer_id": 1, "mg": 31_000, "cost_thousandths": None}
    return NozzleAnswer(
        bore_um=bore,
        likely_minutes=minutes,
        at_most_minutes=minutes * 1.2,
        **{**told, **rest},  # type: ignore[arg-type]
    )


class TestColumns:
    def test_one_scale_for_all_and_the_soonest_is_suggested(self) -> None:
        one = nozzle(400, 86, ready=NOW + timedelta(hours=4))
        two = nozzle(600, 48, ready=NOW + timedelta(hours=2), late_minutes=60)
        three = nozzle(800, 34, allowed=False)
        columns = columns_of((one, two, three), now=NOW, zone=ZONE, printers={1: "North"}, how_fine="normal")
        assert [column.mark for column in columns] == ["", SUGGESTED, ""]
        assert len({column.scale_to for column in columns}) == 1
        assert columns[1].minutes == "48 to 58 min"
        assert columns[1].words == ("on 0.6 about 48 to 58 min, 31 g; can be ready by 09:00 today, 1 h late")
        assert columns[2].why_not == "not for normal"
        assert columns[2].words.endswith("; not for normal")

    def test_the_desks_choice_is_marked_instead(self) -> None:
        answers = (nozzle(400, 86), nozzle(600, 48))
        columns = columns_of(answers, now=NOW, zone=ZONE, printers={}, chosen_um=400)
        assert [column.mark for column in columns] == [CHOSEN, ""]
        best = marked(columns)
        assert best is not None
        assert best.nozzle == "0.4"

    def test_without_a_plan_the_quickest_is_suggested_and_says_why_not(self) -> None:
        answers = (nozzle(400, 86, why_not="no spool"), nozzle(600, 48, why_not="no spool"))
        assert suggested_um(answers) == 600
        columns = columns_of(answers, now=NOW, zone=ZONE, printers={})
        assert columns[1].words.endswith("; no spool")

    def test_a_done_request_has_no_time_to_come(self) -> None:
        answers = (nozzle(400, 86, ready=NOW, late_minutes=5),)
        (column,) = columns_of(answers, now=NOW, zone=ZONE, printers={}, when=False)
        assert (column.by, column.late, column.mark) == ("", "", "")

    def test_no_answer_no_columns(self) -> None:
        assert columns_of((), now=NOW, zone=ZONE, printers={}) == ()
        assert marked(()) is None
        assert suggested_um(()) is None
