"""Rounding of attendance against the published rule and its published examples.

29 CFR 785.48(b): starting and stopping times to the nearest 5 minutes, tenth or quarter of an hour. US Department of
Labor, Wage and Hour Division, Fact Sheet #53 (July 2009), read in reproductions. Both are wage law for employees; they
do not bind volunteers and serve as a yardstick.
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from mentor_training.hours.rules import Entry, Rounding, counted_minutes, in_hours, nearest, nearest_clock_time

NEW_YORK = ZoneInfo("America/New_York")

# Whole minutes past the hour to the nearest 5, 6 and 15, ties up (arithmetic from the definition, done by hand).
TABLE = """
0 0 0 0 | 1 0 0 0 | 2 0 0 0 | 3 5 6 0 | 4 5 6 0 | 5 5 6 0 | 6 5 6 0 | 7 5 6 0 | 8 10 6 15 | 9 10 12 15 | 10 10 12 15
12 10 12 15 | 13 15 12 15 | 14 15 12 15 | 15 15 18 15 | 16 15 18 15 | 17 15 18 15 | 18 20 18 15 | 20 20 18 15
21 20 24 15 | 22 20 24 15 | 23 25 24 30 | 27 25 30 30 | 30 30 30 30 | 37 35 36 30 | 38 40 36 45 | 52 50 54 45
53 55 54 60 | 57 55 60 60 | 58 60 60 60
"""
ROWS = [tuple(map(int, cell.split())) for line in TABLE.strip().splitlines() for cell in line.split("|")]


def at(hour: int, minute: int, second: int = 0) -> datetime:
    return datetime(2026, 10, 12, hour, minute, second, tzinfo=NEW_YORK)


def clocked(came: tuple[int, int], left: tuple[int, int], step: int = 15) -> int:
    """Count a span between two clock times by the rule `clock`."""
    one = Entry(1, "v-001", "direct", at(*came).date(), 0, at(*came).astimezone(UTC), at(*left).astimezone(UTC))
    return counted_minutes(one, Rounding("clock", step), NEW_YORK)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"minute-{row[0]}")
def test_every_minute_goes_to_the_nearest_step_and_a_tie_goes_up(row: tuple[int, int, int, int]) -> None:
    """The table of minutes past the hour, for all three steps of 29 CFR 785.48(b)."""
    minute, *wanted = row
    assert [nearest(minute, step) for step in (5, 6, 15)] == wanted


def test_seven_minutes_are_rounded_down_and_eight_up() -> None:
    """Fact Sheet #53: 1 to 7 minutes may be rounded down, 8 to 14 must be rounded up to a quarter of an hour."""
    assert [nearest(minute, 15) for minute in range(1, 8)] == [0] * 7
    assert [nearest(minute, 15) for minute in range(8, 15)] == [15] * 7


def test_the_fact_sheets_week_comes_to_its_published_41_25_hours() -> None:
    """Example 2: in at 06:50, out at 15:37, half an hour of lunch, five days, by quarter hours: 41.25 h."""
    day = clocked((6, 50), (15, 37)) - 30
    assert day == 495
    assert in_hours(5 * day) == Decimal("41.25")


@pytest.mark.parametrize(
    ("came", "left", "wanted"), [((9, 7), (10, 8), "1.25"), ((9, 8), (10, 7), "0.75")], ids=["longer", "shorter"]
)
def test_clock_times_are_rounded_and_not_the_time_between(
    came: tuple[int, int], left: tuple[int, int], wanted: str
) -> None:
    """61 and 59 minutes: by the time between, both would be 1.00 h (own arithmetic)."""
    assert in_hours(clocked(came, left)) == Decimal(wanted)


def test_a_tenth_of_an_hour_does_not_follow_pythons_round() -> None:
    """Python's `round` sends 3, 15 and 27 minutes down to the even tenth; half up takes every tie up."""
    ties = range(3, 60, 6)
    assert [nearest(minute, 6) for minute in ties] == [minute + 3 for minute in ties]
    assert [round(minute / 6) * 6 for minute in (3, 9, 15, 21, 27)] == [0, 12, 12, 24, 24]


def test_the_sum_of_errors_over_an_hour_is_known_for_each_step() -> None:
    """5 and 15 minutes are neutral; six, half up, gives away 30 minutes in sixty clock times (own arithmetic)."""
    errors = {step: sum(nearest(minute, step) - minute for minute in range(60)) for step in (5, 6, 15)}
    assert errors == {5: 0, 6: 30, 15: 0}


@pytest.mark.parametrize(
    ("second", "step", "wanted"),
    [
        ((9, 7, 30), 15, time(9, 15)),
        ((9, 7, 29), 15, time(9, 0)),
        ((9, 2, 30), 5, time(9, 5)),
        ((9, 57, 0), 6, time(10, 0)),
    ],
)
def test_seconds_can_tie_too(second: tuple[int, int, int], step: int, wanted: time) -> None:
    """7 minutes 30 seconds is half a quarter of an hour, 2:30 half of five minutes, 57 of the hour rolls over."""
    assert nearest_clock_time(at(*second), step, NEW_YORK).astimezone(NEW_YORK).time() == wanted


def test_clock_times_are_rounded_on_the_clock_of_the_place() -> None:
    """In Kathmandu, at UTC+05:45, 09:03 goes to 09:06; in UTC the same moment, 03:18, would stay."""
    kathmandu = ZoneInfo("Asia/Kathmandu")
    moment = datetime(2026, 10, 12, 9, 3, tzinfo=kathmandu)
    assert nearest_clock_time(moment, 6, kathmandu).astimezone(kathmandu).time() == time(9, 6)
    assert nearest_clock_time(moment, 6, ZoneInfo("UTC")).time() == time(3, 18)
