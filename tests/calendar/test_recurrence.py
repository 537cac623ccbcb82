"""Days of a series: what is wrong with it, which days it has, and which are left out."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as some

from mentor_training.calendar.recurrence import (
    LONGEST_BREAK,
    MOST_AT_ONCE,
    Repeat,
    days_of,
    not_met,
    read_days,
    repeat_faults,
)

SATURDAY, TUESDAY = 5, 1
AUGUST = date(2026, 8, 29)
DAYS = some.dates(date(2026, 1, 1), date(2028, 12, 31))
REPEATS = some.builds(
    Repeat,
    first=DAYS,
    weekdays=some.lists(some.integers(0, 6), min_size=1, max_size=7).map(tuple),
    count=some.integers(1, MOST_AT_ONCE),
    every=some.integers(1, 5),
    left_out=some.frozensets(DAYS, max_size=30),
)


def by_hand(repeat: Repeat) -> list[date]:
    """Return the days of a repeat with a count by walking through the calendar day by day."""
    monday = repeat.first - timedelta(days=repeat.first.weekday())
    found: list[date] = []
    day = repeat.first
    while len(found) < (repeat.count or 0):
        is_week = ((day - monday).days // 7) % repeat.every == 0
        if is_week and day.weekday() in repeat.weekdays:
            found.append(day)
        day += timedelta(days=1)
    return [day for day in found if day not in repeat.left_out]


@given(REPEATS)
def test_the_days_are_those_of_a_walk_through_the_calendar(repeat: Repeat) -> None:
    """Whatever the days of the week, however many weeks apart, whatever is left out."""
    assert list(days_of(repeat)) == by_hand(repeat)


@given(REPEATS)
def test_a_series_until_its_last_day_is_the_series_of_that_count(repeat: Repeat) -> None:
    """The two ways to end a series agree, and what is left out is told apart from what was never in it."""
    all_days = days_of(Repeat(repeat.first, repeat.weekdays, None, repeat.count, repeat.every))
    until = Repeat(repeat.first, repeat.weekdays, all_days[-1], None, repeat.every, repeat.left_out)
    assert days_of(until) == days_of(repeat)
    assert set(not_met(repeat)) == repeat.left_out - set(all_days)


@pytest.mark.parametrize(
    ("repeat", "detail", "words"),
    [
        (Repeat(AUGUST, (), count=3), "weekdays", "at least one day"),
        (Repeat(AUGUST, (SATURDAY,)), "until", "one of the two"),
        (Repeat(AUGUST, (SATURDAY,), until=AUGUST, count=1), "until", "one of the two"),
        (Repeat(AUGUST, (SATURDAY,), until=date(2026, 8, 28)), "until", "2026-08-28 is before the first day"),
        (Repeat(AUGUST, (SATURDAY,), count=0), "count", "from 1 to 200"),
        (Repeat(AUGUST, (SATURDAY,), count=201), "count", "from 1 to 200"),
        (Repeat(AUGUST, (SATURDAY,), count=3, every=0), "every", "from 1 to 26"),
        (Repeat(AUGUST, (SATURDAY,), until=date(9999, 12, 31)), "until", "more than 200 days"),
        (Repeat(AUGUST, (TUESDAY,), until=date(2026, 8, 31)), "until", "No day is left"),
        (Repeat(AUGUST, (SATURDAY,), count=1, left_out=frozenset({AUGUST})), "count", "No day is left"),
        (Repeat(date(9999, 12, 31), (SATURDAY,), count=2), "day", "1900 to 2199"),
        (Repeat(date(2199, 12, 21), (SATURDAY,), count=3), "count", "2200-01-04 is not in the years"),
        (Repeat(date(1, 1, 1), (SATURDAY,), count=2), "day", "1900 to 2199"),
    ],
)
def test_what_is_wrong_with_a_series_is_told_of_the_detail(repeat: Repeat, detail: str, words: str) -> None:
    """One fault each, and none of them hangs or breaks."""
    (fault,) = repeat_faults(repeat)
    assert fault.detail == detail
    assert words in fault.what


def test_a_term_of_saturdays_passes_over_its_break() -> None:
    """Twelve Saturdays until the end of November; one holiday is left out, the other is no Saturday."""
    repeat = Repeat(date(2026, 9, 9), (SATURDAY,), date(2026, 11, 30), None, 1, frozenset({date(2026, 11, 28), AUGUST}))
    assert repeat_faults(repeat) == ()
    assert (days_of(repeat)[0], days_of(repeat)[-1]) == (date(2026, 9, 12), date(2026, 11, 21))
    assert not_met(repeat) == (AUGUST,)


def test_days_left_out_are_read_line_by_line() -> None:
    """A day, a span with both its ends, blank lines passed over; what is no day is told of its line."""
    found, wrong = read_days(
        "2026-11-26\r\n\n  2026-12-30 to 2027-01-02 \n2026-11-31\nsoon\n2026-11-28 to 2026-11-27\n"
    )
    assert sorted(found) == [
        date(2026, 11, 26), date(2026, 12, 30), date(2026, 12, 31), date(2027, 1, 1), date(2027, 1, 2),
    ]  # fmt: skip
    assert [line.partition(";")[0] for line in wrong] == [
        "Line 4: '2026-11-31' is no day",
        "Line 5: 'soon' is no day",
        "Line 6: '2026-11-28 to 2026-11-27' is no day",
    ]


def test_a_break_has_a_longest_length() -> None:
    """A year at most, so that a slip of the year is told and fills no memory."""
    assert len(read_days("2026-01-01 to 2027-01-01")[0]) == LONGEST_BREAK
    assert read_days("2026-01-01 to 2027-01-02")[1]
    assert read_days("0001-01-01 to 9999-12-31")[1]


@given(some.text())
def test_any_text_is_read_or_told(text: str) -> None:
    """Nothing that is typed breaks the reading."""
    found, wrong = read_days(text)
    assert len(found) <= LONGEST_BREAK * len(text.splitlines())
    assert all(line.startswith("Line ") for line in wrong)
