"""Many sessions made from one: their codes, their titles, and what else is on then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as some

from mentor_training.calendar.recurrence import Repeat
from mentor_training.calendar.rules import SessionFact, equal_blocks
from mentor_training.calendar.series import (
    SESSIONS,
    WEEKS,
    Naming,
    clashes,
    code_after,
    code_fault,
    naming_faults,
    next_codes,
    seal_of,
    series_of,
    title_pattern,
    titles,
)

STARTS, ENDS = time(9, 30), time(11, 15)
PATTERN = SessionFact(
    "s-22", "Week 11, Saturday morning", date(2026, 11, 21), STARTS, ENDS, equal_blocks(STARTS, ENDS, 4),
    ("balance-lane",), ("p-01",), ("v-001",), ("o-01",),
)  # fmt: skip
TUESDAYS_AND_SATURDAYS = Repeat(date(2027, 1, 18), (1, 5), date(2027, 2, 6), None, 1, frozenset({date(2027, 1, 26)}))


def test_a_series_is_the_one_session_on_other_days() -> None:
    """Codes are counted on without those taken, titles with the weeks; times, stations and people stay."""
    found = series_of(PATTERN, TUESDAYS_AND_SATURDAYS, Naming("s-22", "Week #", 1, WEEKS), ["s-22", "S-24"])
    assert [(one.code, one.title, one.day.isoformat()) for one in found] == [
        ("s-23", "Week 1", "2027-01-19"),
        ("s-25", "Week 1", "2027-01-23"),
        ("s-26", "Week 2", "2027-01-30"),
        ("s-27", "Week 3", "2027-02-02"),
        ("s-28", "Week 3", "2027-02-06"),
    ]
    assert {replace(one, code="", title="", day=PATTERN.day) for one in found} == {replace(PATTERN, code="", title="")}


def test_titles_count_sessions_or_weeks_or_nothing() -> None:
    """Weeks are those of ISO 8601, also across the turn of the year."""
    days = [date(2026, 12, 29), date(2027, 1, 2), date(2027, 1, 5)]
    assert titles(Naming("s-1", "#. #", 9, SESSIONS), days) == ("9. 9", "10. 10", "11. 11")
    assert titles(Naming("s-1", "Week #", 1, WEEKS), days) == ("Week 1", "Week 1", "Week 2")
    assert set(titles(Naming("s-1", "Open morning", 1, WEEKS), days)) == {"Open morning"}


@pytest.mark.parametrize(
    ("codes", "following"),
    [((), "s-01"), (("s-09",), "s-10"), (("s-99", "x"), "s-100"), (("s-12", "s-05"), "s-06"), (("S-01",), "S-02")],
)
def test_the_next_code_is_that_of_the_last_session_counted_on(codes: tuple[str, ...], following: str) -> None:
    """With its width kept; a code that ends in no number is passed over."""
    assert code_after(codes) == following


@given(some.from_regex(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,20}[0-9]", fullmatch=True), some.integers(1, 40), some.data())
def test_codes_never_collide_and_never_go_back(first: str, count: int, data: some.DataObject) -> None:
    """Whatever is taken, in whichever case, the codes are free, all different, and as many as were asked for."""
    plain = next_codes(first, count + 5, ())
    taken = data.draw(some.sets(some.sampled_from(plain), max_size=5))
    found = next_codes(first, count, {one.upper() for one in taken})
    assert len(set(found)) == count
    assert {one.lower() for one in found}.isdisjoint(one.lower() for one in taken)
    assert list(found) == [one for one in plain if one not in taken][:count]


@pytest.mark.parametrize("code", ["", "autumn", "s-1 2", "-1", "s-1\n"])
def test_codes_are_counted_on_only_from_one_that_ends_in_a_number(code: str) -> None:
    """And that is a code at all."""
    assert "ends in a number" in code_fault(code)
    assert code_fault("s-1") == ""


def test_a_code_that_ends_in_no_number_is_never_counted_on() -> None:
    """Whoever asks all the same has forgotten to ask first."""
    with pytest.raises(ValueError, match="ends in no number"):
        next_codes("autumn", 2, ())


def test_what_came_out_too_long_is_told() -> None:
    """A code of more than 60 characters, a title of more than 200."""
    long_code, long_title = replace(PATTERN, code="s" * 60 + "1"), replace(PATTERN, title="x" * 201)
    assert len(naming_faults([long_code, PATTERN, long_title])) == 2


@pytest.mark.parametrize(
    ("title", "pattern"),
    [("Week 11, Saturday", ("Week #, Saturday", 12)), ("Open morning", ("Open morning", 1)), ("2. 3", ("#. 3", 3))],
)
def test_a_title_is_numbered_on_from_its_first_number(title: str, pattern: tuple[str, int]) -> None:
    """One without a number stays as it is."""
    assert title_pattern(title) == pattern


def test_what_is_on_at_the_same_time_is_told_and_what_follows_on_is_not() -> None:
    """The same day with a minute in common; a session may begin as another ends."""
    there = replace(PATTERN, starts=time(11, 14), ends=time(12, 0))
    after = replace(PATTERN, starts=time(11, 15), ends=time(12, 0))
    other_day = replace(PATTERN, day=date(2026, 11, 22))
    assert [(one.session, one.there) for one in clashes([PATTERN], [there, after, other_day])] == [(PATTERN, there)]


def test_a_seal_stands_for_all_that_is_shown() -> None:
    """One other person is another seal."""
    assert seal_of([PATTERN]) == seal_of((PATTERN,))
    assert seal_of([PATTERN]) != seal_of([replace(PATTERN, volunteers=("v-002",))])
