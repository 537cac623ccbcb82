"""The day on which a moment falls, across the clock changes of real zones.

The moments of the changes were computed from the IANA time zone database (tzdata); the rules behind them are 15 U.S.C.
260a (second Sunday of March, first Sunday of November, at 02:00 local time) and Directive 2000/84/EC (last Sundays of
March and October, at 01:00 UTC), both from memory. RFC 5545, section 3.3.5, says how a local time is read that comes
twice or never.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.clock import FixedClock, day_in
from mentor_training.web.as_of import read_as_of

NEW_YORK = ZoneInfo("America/New_York")
ZONES = {name: ZoneInfo(name) for name in
         ("America/New_York", "America/Los_Angeles", "Europe/Berlin", "Europe/London", "America/Phoenix")}  # fmt: skip

# The first moment of the new time, and how far local clocks are from UTC before and after, in hours.
CHANGES = [
    ("America/New_York", "2026-03-08T07:00Z", -5, -4),
    ("America/New_York", "2026-11-01T06:00Z", -4, -5),
    ("America/Los_Angeles", "2026-03-08T10:00Z", -8, -7),
    ("America/Los_Angeles", "2026-11-01T09:00Z", -7, -8),
    ("Europe/Berlin", "2026-03-29T01:00Z", 1, 2),
    ("Europe/Berlin", "2026-10-25T01:00Z", 2, 1),
    ("Europe/London", "2026-03-29T01:00Z", 0, 1),
    ("Europe/London", "2026-10-25T01:00Z", 1, 0),
]


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize(("zone", "change", "before", "after"), CHANGES)
def test_the_clocks_change_at_the_moment_they_do(zone: str, change: str, before: int, after: int) -> None:
    """The time zone data that the program runs on are the world's own."""
    moment = at(change)
    for one, hours in ((moment - timedelta(microseconds=1), before), (moment, after)):
        assert one.astimezone(ZONES[zone]).utcoffset() == timedelta(hours=hours)


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        # New York goes forward on 8 March 2026: the day is 23 hours long, from 05:00Z to 04:00Z.
        ("2026-03-08T04:59:59.999999Z", "2026-03-07"),
        ("2026-03-08T05:00Z", "2026-03-08"),
        ("2026-03-08T06:59:59Z", "2026-03-08"),
        ("2026-03-08T07:00Z", "2026-03-08"),
        ("2026-03-09T03:59:59.999999Z", "2026-03-08"),
        ("2026-03-09T04:00Z", "2026-03-09"),
        # And back on 1 November 2026: the day is 25 hours long, from 04:00Z to 05:00Z.
        ("2026-11-01T03:59:59.999999Z", "2026-10-31"),
        ("2026-11-01T04:00Z", "2026-11-01"),
        ("2026-11-01T05:30Z", "2026-11-01"),
        ("2026-11-01T06:30Z", "2026-11-01"),
        ("2026-11-02T04:59:59.999999Z", "2026-11-01"),
        ("2026-11-02T05:00Z", "2026-11-02"),
    ],
)
def test_a_moment_falls_on_the_day_of_the_programs_zone(moment: str, day: str) -> None:
    """Also in the hour that comes twice, and around the one that never comes."""
    assert day_in(NEW_YORK, at(moment)) == date.fromisoformat(day)


@pytest.mark.parametrize(
    ("day", "hours"), [("2026-03-07", 24), ("2026-03-08", 23), ("2026-10-31", 24), ("2026-11-01", 25)]
)
def test_a_day_has_as_many_hours_as_it_has(day: str, hours: int) -> None:
    """Counted by the quarter of an hour: 23 and 25 on the days of the changes."""
    noon = datetime.fromisoformat(f"{day}T17:00Z")
    quarters = [noon + timedelta(minutes=15 * step) for step in range(-200, 200)]
    assert sum(day_in(NEW_YORK, one) == date.fromisoformat(day) for one in quarters) == hours * 4


def test_a_local_time_that_comes_twice_is_the_first() -> None:
    """RFC 5545, 3.3.5: 2007-11-04 01:30 in New York is 05:30Z."""
    found = read_as_of({"known_at": "2007-11-04T01:30"}, at("2026-10-16T16:00Z"), NEW_YORK)
    assert found.known_at == at("2007-11-04T05:30Z")


def test_a_local_time_that_never_comes_is_read_with_the_offset_before() -> None:
    """RFC 5545, 3.3.5: 2007-03-11 02:30 in New York is 07:30Z, which is 03:30."""
    found = read_as_of({"known_at": "2007-03-11T02:30"}, at("2026-10-16T16:00Z"), NEW_YORK)
    assert found.known_at == at("2007-03-11T07:30Z")


def test_an_instance_says_today_by_its_own_zone() -> None:
    """Half past eight in the evening in New York is tomorrow in UTC, and still today."""
    clock = FixedClock(at("2026-10-17T00:30Z"))
    assert day_in(NEW_YORK, clock.now()) == date(2026, 10, 16)
    assert day_in(ZoneInfo("UTC"), clock.now()) == date(2026, 10, 17)


@given(
    st.datetimes(timezones=st.just(UTC)).filter(lambda moment: 1970 < moment.year < 2100),
    st.sampled_from(sorted(ZONES)),
)
def test_the_day_is_the_one_that_the_wall_clock_shows(moment: datetime, name: str) -> None:
    """Whatever offset the moment is written with."""
    shown = (moment + (moment.astimezone(ZONES[name]).utcoffset() or timedelta())).date()
    assert day_in(ZONES[name], moment) == shown
    assert day_in(ZONES[name], moment.astimezone(ZONES["Europe/Berlin"])) == shown
