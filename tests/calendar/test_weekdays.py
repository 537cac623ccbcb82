"""Titles that name a day of the week: which, whether it is the session's own, and what would say it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.weekdays import NAMES, misnamed, misnamed_in_words, named_for, named_in
from tests.calendar.test_actions import SESSION

MONDAY = date(2026, 10, 19)


@pytest.mark.parametrize(
    ("title", "named"),
    [
        ("Week 7, Tuesday evening", {1}),
        ("TUESDAYS and Saturday", {1, 5}),
        ("Sun safety, sat down", set()),
        ("Mondayish", set()),
        ("Week 7", set()),
    ],
)
def test_the_days_that_a_title_names_are_read_in_any_case(title: str, named: set[int]) -> None:
    """Whole names alone, one or many."""
    assert named_in(title) == named


@given(st.sets(st.integers(0, 6), min_size=1), st.integers(0, 6))
def test_a_title_named_for_its_days_names_them_and_no_other(weekdays: set[int], before: int) -> None:
    """What else it says stays; one without a day stays whole."""
    title = named_for(f"Week 7, {NAMES[before]} evening", weekdays)
    assert named_in(title) == weekdays
    assert (title[:8], title[-8:]) == ("Week 7, ", " evening")
    assert named_for("Week 7", weekdays) == "Week 7"


@given(st.integers(0, 6), st.integers(0, 6))
def test_a_session_is_misnamed_when_its_title_names_days_and_not_its_own(named: int, its: int) -> None:
    """And it is said with the day on which it is."""
    one = replace(SESSION, title=f"Week 6, {NAMES[named]}", day=MONDAY + timedelta(days=its))
    assert bool(misnamed([one])) == (named != its)
    assert misnamed_in_words([one]) == ("" if named == its else f"“{one.title}” is on a {NAMES[its]}")


def test_several_are_said_by_the_first_and_their_number() -> None:
    """Not a line for each of a whole term."""
    those = [replace(SESSION, title="Tuesday", day=MONDAY + timedelta(days=day)) for day in (0, 2, 3)]
    assert misnamed_in_words(those) == "“Tuesday” is on a Monday, and 2 more are so"
