"""What the safety answers come to, in words."""

from printcrib.core.consequences import NOTHING_TICKED, consequence_of
from printcrib.core.requests import Purpose
from printcrib.core.safety import LAST_WORD


def test_nothing_answered() -> None:
    assert consequence_of(Purpose.FOR_USE, None, None).words == NOTHING_TICKED


def test_none_of_these() -> None:
    told = consequence_of(Purpose.FOR_USE, (), None)
    assert (told.words, told.holds) == ("No review is needed.", False)


def test_a_hold_names_what_is_put_in_writing_and_ends_with_the_last_word() -> None:
    told = consequence_of(Purpose.FOR_USE, (1, 5), None)
    assert told.words == "Printed, but not handed out before a reviewer has released it."
    assert told.further == (
        f"The release states the top speed and the pressure limit in writing. {LAST_WORD}"
    )
    assert told.holds


def test_a_never_says_what_for_and_that_it_may_be_tried() -> None:
    told = consequence_of(Purpose.PRIVATE, (4, 1), None)
    assert told.words == "Never handed out for this: lift a load or a person."
    assert told.further.endswith(LAST_WORD)


def test_what_the_pattern_ticks_counts_and_is_named() -> None:
    told = consequence_of(Purpose.FOR_USE, (), (2,))
    assert told.holds
    assert "By the pattern book it will: hold or locate the work." in told.further


def test_to_try_the_fit_is_not_for_use() -> None:
    told = consequence_of(Purpose.TRY_FIT, (4,), None)
    assert told.words == 'Marked "not for use".'
    assert "stopped and locked out" in told.further
