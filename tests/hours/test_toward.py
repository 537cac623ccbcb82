"""How far a requirement is met, when it will be, and that nothing is shown as complete a minute early."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.hours.rules import CategorySum
from mentor_training.hours.toward import (
    EARLY,
    MET,
    ON_COURSE,
    WAITS,
    WILL_MISS,
    Span,
    ahead_of,
    ends_of_weeks,
    met_by_pace,
    met_by_plan,
    toward,
    weeks_of,
)

FIRST, LAST = date(2026, 8, 24), date(2026, 12, 11)
TERM = Span(FIRST, LAST)
MIDTERM = date(2026, 10, 16)


def direct(approved: int, waiting: int = 0, over: int = 0) -> CategorySum:
    return CategorySum("direct", 600, approved, waiting, over)


@pytest.mark.parametrize(
    ("one", "planned", "on", "outlook"),
    [
        (direct(600), [], MIDTERM, MET),
        (direct(599), [], LAST, WILL_MISS),
        (direct(599, 1), [], MIDTERM, WAITS),
        (direct(500, 100, 1), [], LAST, WILL_MISS),
        (direct(100), [(MIDTERM, 500)], MIDTERM, ON_COURSE),
        (direct(300), [], MIDTERM, ON_COURSE),
        (direct(100), [(MIDTERM, 499)], MIDTERM, WILL_MISS),
        (direct(0), [], FIRST + timedelta(days=13), EARLY),
        (direct(0), [], FIRST + timedelta(days=14), WILL_MISS),
    ],
)
def test_the_outlook_follows_what_is_approved_waits_and_is_planned(
    one: CategorySum, planned: list[tuple[date, int]], on: date, outlook: str
) -> None:
    """A minute less than required is not met; what is over a cap does not count as done."""
    assert ahead_of(one, planned, TERM, on).outlook == outlook


def test_what_is_still_needed_is_told_apart_from_what_will_be_short() -> None:
    """600 required, 200 approved, 100 wait of which 40 are over a cap, 90 planned."""
    found = ahead_of(direct(200, 100, 40), [(LAST, 90)], TERM, MIDTERM)
    assert (found.done, found.needed, found.planned, found.short) == (260, 400, 90, 250)


def test_the_plan_meets_it_with_the_session_that_brings_the_last_minute() -> None:
    """97 minutes a session: of 194, the second one; of 195, the third."""
    saturdays = [(MIDTERM + timedelta(days=1 + 7 * n), 97) for n in range(3)]
    assert met_by_plan(194, 0, saturdays) == saturdays[1][0]
    assert met_by_plan(195, 0, saturdays) == saturdays[2][0]
    assert met_by_plan(292, 0, saturdays) is None
    assert met_by_plan(100, 100, saturdays) is None


def test_at_one_hour_a_week_ten_hours_take_ten_weeks() -> None:
    """Four weeks of an hour each are behind; six are to come (own arithmetic)."""
    on = FIRST + timedelta(days=27)
    assert met_by_pace(600, 240, FIRST, on) == on + timedelta(days=42)


@pytest.mark.parametrize(
    ("required", "done", "on"), [(600, 0, MIDTERM), (600, 600, MIDTERM), (60_000, 1, LAST), (600, 5, date(2026, 8, 1))]
)
def test_there_is_not_always_a_pace(required: int, done: int, on: date) -> None:
    """Nothing done, all done, more than ten years, a day before the first: no day is made up."""
    assert met_by_pace(required, done, FIRST, on) is None


@given(st.integers(1, 5000), st.integers(1, 5000), st.integers(0, 200))
def test_the_day_of_the_pace_is_the_first_that_has_all_of_it(required: int, done: int, days: int) -> None:
    """On that day the average has brought every minute, and on the day before it has not."""
    on = FIRST + timedelta(days=days)
    day = met_by_pace(required, done, FIRST, on)
    if day is not None:
        whole = (day - FIRST).days + 1
        assert done * whole >= required * (days + 1) > done * (whole - 1)
    else:
        assert done >= required or required * (days + 1) > done * 3600


MINUTES = st.dictionaries(st.sampled_from(["direct", "training", "preparation"]), st.integers(-60, 700))


@given(st.dictionaries(st.sampled_from(["direct", "training"]), st.integers(1, 600), min_size=1), MINUTES)
def test_all_of_a_requirement_counts_only_when_each_category_is_met(
    required: dict[str, int], minutes: dict[str, int]
) -> None:
    """However much there is of one, it makes up for no minute of another."""
    counted = toward(required, minutes)
    is_met = all(minutes.get(name, 0) >= needed for name, needed in required.items())
    assert (counted == sum(required.values())) is is_met
    assert 0 <= counted <= sum(required.values())


@given(st.integers(0, 200), st.integers(0, 200))
def test_weeks_end_on_sundays_and_with_the_day_that_is_asked_about(first: int, on: int) -> None:
    """Each day of the term so far is in one week; nothing is ahead of today."""
    span = Span(FIRST + timedelta(days=first), LAST)
    ends = ends_of_weeks(span, FIRST + timedelta(days=on))
    last = min(FIRST + timedelta(days=on), LAST)
    if last < span.first_day:
        assert ends == ()
    else:
        assert ends[-1] == last
        assert all(one.weekday() == 6 for one in ends[:-1])
        assert list(ends) == sorted(set(ends))
        assert all((after - before).days <= 7 for before, after in pairwise(ends))


Logs = st.lists(
    st.lists(st.tuples(st.integers(0, 60), st.sampled_from(["direct", "training"]), st.integers(0, 90)), max_size=8),
    min_size=1,
    max_size=6,
)


@given(Logs)
def test_a_section_only_goes_forward_and_lies_between_its_lowest_and_highest(
    logs: list[list[tuple[int, str, int]]],
) -> None:
    """With minutes that are never taken back, no week is below the one before."""
    approved = [[(FIRST + timedelta(days=day), name, minutes) for day, name, minutes in one] for one in logs]
    weeks = weeks_of({"direct": 120, "training": 60}, approved, ends_of_weeks(TERM, MIDTERM))
    assert all(0 <= one.lowest <= one.middle <= one.highest <= 180 for one in weeks)
    assert all(a.lowest <= b.lowest and a.met <= b.met for a, b in pairwise(weeks))
    assert all((one.met == len(logs)) is (one.lowest == 180) for one in weeks)


def test_without_volunteers_or_a_requirement_there_are_no_weeks() -> None:
    """Nothing is divided by nobody."""
    assert weeks_of({"direct": 60}, [], [FIRST]) == ()
    assert weeks_of({}, [[]], [FIRST]) == ()
