"""Days, times, spans, hours and levels are written in one way."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.web.display import (
    show_day,
    show_days,
    show_hours,
    show_level,
    show_moment,
    show_short_day,
    show_span,
    show_time,
)

NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 10, 17), "Sat 17 Oct 2026"),
        (date(2026, 11, 3), "Tue 3 Nov 2026"),
        (date(2028, 2, 29), "Tue 29 Feb 2028"),
        (date(2000, 1, 1), "Sat 1 Jan 2000"),
    ],
)
def test_a_day_is_written_with_its_weekday_and_its_month_in_letters(day: date, words: str) -> None:
    """No reader has to guess which number is the month."""
    assert show_day(day) == words
    assert words.endswith(f"{show_short_day(day)} {day.year}")


@given(st.dates())
def test_the_weekday_is_that_of_the_day(day: date) -> None:
    """The words agree with the calendar of the standard library, for any day."""
    assert show_day(day) == f"{day:%a} {day.day} {day:%b} {day.year}"


def test_a_span_of_days_says_whether_it_is_open() -> None:
    """A span reads as one day, as two ends, or as open."""
    first, last = date(2026, 9, 12), date(2026, 11, 24)
    assert show_days(first, last) == "Sat 12 Sep 2026 to Tue 24 Nov 2026"
    assert show_days(first, first) == "Sat 12 Sep 2026"
    assert show_days(first, None) == "from Sat 12 Sep 2026 on"


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        (datetime(2026, 11, 1, 5, 30, tzinfo=UTC), "Sun 1 Nov 2026, 01:30"),
        (datetime(2026, 11, 1, 6, 30, tzinfo=UTC), "Sun 1 Nov 2026, 01:30"),
        (datetime(2026, 11, 1, 7, 30, tzinfo=UTC), "Sun 1 Nov 2026, 02:30"),
        (datetime(2026, 3, 8, 6, 59, tzinfo=UTC), "Sun 8 Mar 2026, 01:59"),
        (datetime(2026, 3, 8, 7, 0, tzinfo=UTC), "Sun 8 Mar 2026, 03:00"),
        (datetime(2026, 10, 17, 3, 0, tzinfo=UTC), "Fri 16 Oct 2026, 23:00"),
    ],
)
def test_a_moment_reads_as_clocks_in_the_zone_read(moment: datetime, words: str) -> None:
    """Across the changes of 2026 in New York and across midnight, the local day and hour are shown.

    Source: the IANA time zone database: in America/New_York daylight time ran from 8 March to 1 November 2026, 02:00.
    """
    assert show_moment(moment, NEW_YORK) == words
    assert words.endswith(show_time(moment, NEW_YORK))


def test_a_span_of_time_reads_from_to() -> None:
    """Moments are shown in the zone, times as they are."""
    assert show_span(time(10, 20), time(11, 5)) == "10:20 to 11:05"
    starts, ends = datetime(2026, 10, 17, 14, 20, tzinfo=UTC), datetime(2026, 10, 17, 15, 5, tzinfo=UTC)
    assert show_span(starts, ends, NEW_YORK) == "10:20 to 11:05"


@pytest.mark.parametrize(
    ("moment", "zone", "words"),
    [
        (datetime(2026, 10, 17, 10, 20), NEW_YORK, "no offset"),  # noqa: DTZ001 - that is the point
        (datetime(2026, 10, 17, 10, 20, tzinfo=UTC), None, "no time zone"),
    ],
)
def test_a_moment_that_cannot_be_placed_is_not_shown(moment: datetime, zone: ZoneInfo | None, words: str) -> None:
    """An hour that may be wrong is worse than an error."""
    with pytest.raises(ValueError, match=words):
        show_time(moment, zone)
    with pytest.raises(ValueError, match=words):
        show_moment(moment, zone)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (735, "12.25 h"),
        (1164, "19.40 h"),
        (1170, "19.50 h"),
        (0, "0.00 h"),
        (1, "0.02 h"),
        (20, "0.33 h"),
        (40, "0.67 h"),
        (599, "9.98 h"),
        (-15, "-0.25 h"),
        (60000, "1000.00 h"),
        (Fraction(3, 10), "0.01 h"),
        (Fraction(-3, 10), "-0.01 h"),
    ],
)
def test_minutes_are_shown_as_hours_with_two_decimals(minutes: int | Fraction, words: str) -> None:
    """Half up, away from zero, at the exact half hundredth: 0.3 minutes are 0.005 h."""
    assert show_hours(minutes) == words


@given(st.integers(min_value=1, max_value=100_000))
def test_a_shortfall_never_reads_as_the_whole(hours: int) -> None:
    """One minute short of a whole number of hours does not read as that number."""
    assert show_hours(hours * 60 - 1) == f"{hours - 1}.98 h"
    assert show_hours(hours * 60) == f"{hours}.00 h"


def test_a_level_is_a_word() -> None:
    """The four levels of the entrustment scale, and nothing else, have words."""
    assert [show_level(level) for level in range(4)] == ["Not yet", "Supervised", "Independent", "Lead"]
    for wrong in (-1, 4):
        with pytest.raises(ValueError, match="a level is 0, 1, 2 or 3"):
            show_level(wrong)
