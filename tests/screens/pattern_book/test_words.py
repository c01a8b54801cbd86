"""What the book says, in words; what was typed and not kept. No window."""

from dataclasses import replace

import pytest
from tests.services.aid_shop import AidShop

from printcrib.core.patterns import CountedBy, Pattern, Size
from printcrib.core.safety import LAST_WORD
from printcrib.screens.pattern_book.drafts import changes_between, drafts_from, drafts_text, with_changes
from printcrib.screens.pattern_book.words import (
    NEVER,
    NOT_ANSWERED,
    WAITS,
    breakable,
    changed_words,
    life_words,
    pattern_facts,
    safety_end,
    safety_facts,
    size_facts,
    size_heading,
    subtitle_of,
)
from printcrib.services.look_at_patterns import PatternPage, look_at_pattern, look_at_patterns

STOP = Pattern(id=3, number=3, name="stop", use_unit="parts", expected_life=12000)


def seen(desk: AidShop, **fields: object) -> PatternPage:
    """The pattern as the book shows it."""
    return look_at_pattern(desk.shop, desk.edit_pattern(**fields).id)


class TestWords:
    def test_life_is_told_in_its_unit_or_in_days(self) -> None:
        assert life_words(STOP) == "12,000 parts"
        assert life_words(replace(STOP, expected_life=None, days_in_service=90)) == "90 days in service"
        assert life_words(replace(STOP, expected_life=None)) == ""

    def test_spares_below_the_minimum_and_a_missing_release_are_warnings(self, desk: AidShop) -> None:
        page = seen(desk, safety_answers=(2,))
        line = replace(page.sizes[0], minimum_spares=2, shelf_place="drawer 4")
        facts = {fact.name: fact for fact in size_facts(page, line)}
        assert size_heading(line) == "Size 32 x 60, revision A"
        assert (facts["Spares"].value, facts["Spares"].bad) == ("0 of at least 2, drawer 4", True)
        assert (facts["Release"].value, facts["Release"].bad) == ("none for revision A", True)
        assert (facts["Model from"].value, facts["Its licence"].value) == ("not told", "not told")
        released = {fact.name: fact for fact in size_facts(page, replace(line, release="released by Rita"))}
        assert not released["Release"].bad

    def test_a_size_without_a_model_and_a_plain_pattern(self, desk: AidShop) -> None:
        page = seen(desk, safety_answers=())
        bare = replace(page.sizes[0], model=None, revision="", size=replace(desk.size, count_limit=1500))
        facts = {fact.name: fact.value for fact in size_facts(page, bare)}
        assert size_heading(bare) == "Size 32 x 60"
        assert (facts["Measures"], facts["Release"]) == ("no model yet", "none given")
        assert facts["To be checked at"] == "1,500 clamp cycles"
        assert "Model from" not in facts

    def test_the_newest_earlier_releases_are_told_and_the_others_counted(self, desk: AidShop) -> None:
        page = seen(desk)
        line = replace(page.sizes[0], earlier=tuple(f"revision {letter}" for letter in "EDCBA"))
        told = [fact.value for fact in size_facts(page, line) if fact.name in ("Earlier", "Before that")]
        assert told == ["revision E", "revision D", "revision C", "2 releases more"]

    def test_the_pattern_says_how_it_is_made_and_counted(self, desk: AidShop) -> None:
        page = seen(
            desk,
            counted_by=CountedBy.PARTS,
            uses_a_part=2,
            take_out_before_start=True,
            finishing_steps=("deburr", "label"),
        )
        facts = {fact.name: fact for fact in pattern_facts(page)}
        assert facts["Counted by"].value == "parts made, 2 uses a part"
        assert facts["Finishing"].value == "deburr, then label"
        assert facts["Inserts"].value == "none"
        assert facts["Before the start"].bad
        assert "Notes" not in facts

    def test_each_answer_says_what_it_leads_to(self) -> None:
        told = [(fact.name, fact.value) for fact in safety_facts((2, 4))]
        assert told == [("hold or locate the work", WAITS), ("lift a load or a person", NEVER)]
        assert safety_facts(None) == []
        assert safety_end(None).words == NOT_ANSWERED
        assert safety_end(()).words == "No review is needed."
        waits = safety_end((1,))
        assert waits.holds
        assert waits.words == "Printed, but not handed out before a reviewer has released it."
        assert waits.further == f"The release states the top speed in writing. {LAST_WORD}"
        assert safety_end((4,)).words.startswith("Never handed out for this: lift a load")

    def test_what_somebody_else_changed_is_named(self) -> None:
        other = replace(STOP, version=4, expected_life=900, colour="black", finishing_steps=("oil",))
        changed = changes_between(STOP, other)
        assert changed_words(changed) == "Changed: the expected life, the colour and the finishing steps."
        assert changed_words(changes_between(STOP, replace(STOP, version=9))) == ""

    def test_the_line_under_the_title(self, desk: AidShop) -> None:
        (row,) = look_at_patterns(desk.shop)
        assert subtitle_of((row,), "") == "1 pattern."
        assert subtitle_of((row, replace(row, short=2)), "") == "2 patterns. 2 spares short of the minimum."
        assert subtitle_of((replace(row, short=1),), "x") == "1 pattern found. 1 spare short of the minimum."
        assert subtitle_of((), "x") == "Nothing found."

    def test_addresses_may_be_broken(self) -> None:
        assert breakable("a/b-c.stl").split("\u200b") == ["a/", "b-", "c.", "stl"]
        assert breakable("drawn here, by us") == "drawn here, by us"


class TestDrafts:
    def test_only_what_was_typed_is_kept_and_comes_back_over_newer_values(self) -> None:
        typed = replace(STOP, colour="grey", safety_answers=(2,), inserts=((5, 2),), counted_by=CountedBy.ADD)
        kept = drafts_from(drafts_text({"pattern 3": changes_between(STOP, typed)}))
        fresh = replace(STOP, version=7, expected_life=500, number=3)
        again = with_changes(fresh, kept["pattern 3"])
        assert again == replace(fresh, colour="grey", safety_answers=(2,), inserts=((5, 2),))

    def test_a_kind_comes_back_as_its_kind_or_not_at_all(self) -> None:
        changes = changes_between(STOP, replace(STOP, counted_by=CountedBy.PARTS))
        again = with_changes(STOP, drafts_from(drafts_text({"x": changes}))["x"])
        assert again.counted_by is CountedBy.PARTS
        assert with_changes(STOP, {"counted_by": "by moonlight"}).counted_by is STOP.counted_by

    @pytest.mark.parametrize("text", ["", "no json", "[1, 2]", '{"pattern 3": 7}'])
    def test_a_text_that_is_not_ours_is_no_draft(self, text: str) -> None:
        assert drafts_from(text) == {}

    def test_key_version_and_what_a_file_brings_are_never_typed(self) -> None:
        size = Size(id=2, version=3, pattern_id=1, name="32")
        other = replace(size, version=9, model_id=77)
        assert changes_between(size, other) == {}
        assert with_changes(size, {"version": 1, "model_id": 5, "file": ["x"], "name": "40"}).name == "40"
        assert with_changes(size, {"version": 1, "model_id": 5}) == size
        assert drafts_text({}) == ""
