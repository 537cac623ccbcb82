"""Elapsed time across midnight and clock changes, against the time zone database (IANA tzdata).

Dates of the changes: 15 U.S.C. 260a and Directive 2000/84/EC (from memory), as tzdata carries them.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from mentor_training.hours.rules import elapsed_minutes

# zone, local from, local to, what the wall clock shows, what really passed
CASES = """
America/New_York 2026-03-07T20:00 2026-03-08T06:00 10 9
America/New_York 2026-10-31T20:00 2026-11-01T06:00 10 11
America/New_York 2026-03-08T00:00 2026-03-09T00:00 24 23
America/New_York 2026-11-01T00:00 2026-11-02T00:00 24 25
Europe/Berlin 2026-03-28T22:00 2026-03-29T06:00 8 7
Europe/Berlin 2026-10-24T22:00 2026-10-25T06:00 8 9
America/Phoenix 2026-03-07T20:00 2026-03-08T06:00 10 10
America/New_York 2026-10-16T22:30 2026-10-17T00:30 2 2
"""


@pytest.mark.parametrize("case", CASES.strip().splitlines())
def test_elapsed_hours_are_what_passed_and_not_what_the_wall_clock_shows(case: str) -> None:
    """Subtracting two times of one zone gives the wall clock's difference; the log counts in UTC."""
    name, starts, ends, wall, passed = case.split()
    zone = ZoneInfo(name)
    came, left = (datetime.fromisoformat(text).replace(tzinfo=zone) for text in (starts, ends))
    assert left - came == timedelta(hours=int(wall))
    assert elapsed_minutes(came, left) == int(passed) * 60


def test_a_doubled_hour_is_told_apart_by_its_fold() -> None:
    """From the first 01:30 to the second 01:30 of 1 November 2026 in New York it is an hour (05:30 to 06:30 UTC)."""
    zone = ZoneInfo("America/New_York")
    first = datetime(2026, 11, 1, 1, 30, tzinfo=zone)
    assert elapsed_minutes(first, first.replace(fold=1)) == 60
    assert first.astimezone(UTC) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)
