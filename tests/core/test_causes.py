"""Causes of failure and their groups."""

from printcrib.core.causes import CAUSES, CauseGroup, group_of


def test_every_cause_has_its_group_and_strange_words_are_not_known_yet() -> None:
    for group, causes in CAUSES.items():
        assert {group_of(cause) for cause in causes} == {group}
    assert group_of("gremlins") is CauseGroup.NOT_KNOWN


def test_no_cause_stands_in_two_groups() -> None:
    named = [cause for causes in CAUSES.values() for cause in causes]
    assert len(named) == len(set(named))
