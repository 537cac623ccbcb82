"""Days that come again against the examples of RFC 5545 section 3.8.5.3 (2009), all beginning 09:00 in New York.

The text of the RFC was read; the dates are its own. Erratum 6212, which would end two of them otherwise, was rejected.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

import pytest

from mentor_training.calendar.recurrence import Repeat, days_of, instances, rule_of

NEW_YORK = ZoneInfo("America/New_York")
MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SUNDAY = 0, 1, 2, 3, 4, 6


def nine(day: str) -> datetime:
    """Return nine o'clock in New York on a day."""
    return datetime.combine(date.fromisoformat(day), time(9), tzinfo=NEW_YORK)


def days(text: str) -> list[date]:
    """Read `1997-09-02 04 09; 1997-10-02`: after a day, more of its month."""
    found = []
    for part in text.split(";"):
        first, *others = part.split()
        found.append(date.fromisoformat(first))
        found += [date.fromisoformat(first[:8] + other) for other in others]
    return found


FIRST_FRIDAYS = (
    "1997-09-05; 1997-10-03; 1997-11-07; 1997-12-05; 1998-01-02; 1998-02-06; 1998-03-06; 1998-04-03; 1998-05-01; "
    "1998-06-05"
)
EXAMPLES = {
    "daily for 10 occurrences": ("1997-09-02", "FREQ=DAILY;COUNT=10", "1997-09-02 03 04 05 06 07 08 09 10 11"),
    "weekly for 10 occurrences": (
        "1997-09-02", "FREQ=WEEKLY;COUNT=10", "1997-09-02 09 16 23 30; 1997-10-07 14 21 28; 1997-11-04",
    ),
    "weekly on Tuesday and Thursday for five weeks": (
        "1997-09-02", "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
        "1997-09-02 04 09 11 16 18 23 25 30; 1997-10-02",
    ),
    "every other week on Tuesday and Thursday, for 8 occurrences": (
        "1997-09-02", "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", "1997-09-02 04 16 18 30; 1997-10-02 14 16",
    ),
    "monthly on the first Friday for 10 occurrences": (
        "1997-09-05", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
        FIRST_FRIDAYS,
    ),
    "monthly on the first and last day of the month for 10 occurrences": (
        "1997-09-30", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        "1997-09-30; 1997-10-01 31; 1997-11-01 30; 1997-12-01 31; 1998-01-01 31; 1998-02-01",
    ),
    "an invalid date (February 30) is ignored": (
        "2007-01-15", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", "2007-01-15 30; 2007-02-15; 2007-03-15 30",
    ),
    "weeks that begin on Monday": (
        "1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "1997-08-05 10 19 24",
    ),
    "weeks that begin on Sunday": (
        "1997-08-05", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "1997-08-05 17 19 31",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("first", "rule", "expected"), EXAMPLES.values(), ids=EXAMPLES)
def test_each_example_comes_out_as_the_text_has_it(first: str, rule: str, expected: str) -> None:
    """Section 3.8.5.3; at nine o'clock on every day, on whichever side of the clock change of 26 October 1997."""
    found = list(instances(rule, nine(first)))
    assert [one.date() for one in found] == days(expected)
    assert {one.time() for one in found} == {time(9)}


@pytest.mark.parametrize(
    ("first", "rule", "count", "last"),
    [
        ("1997-09-02", "FREQ=DAILY;UNTIL=19971224T000000Z", 113, "1997-12-23"),
        ("1997-09-02", "FREQ=WEEKLY;UNTIL=19971224T000000Z", 17, "1997-12-23"),
        ("1997-09-01", "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR", 25, "1997-12-22"),
    ],
)
def test_the_long_examples_end_where_the_text_ends_them(first: str, rule: str, count: int, last: str) -> None:
    """Section 3.8.5.3: `until December 24, 1997`; EDT through 25 October, EST from the 26th on."""
    found = list(instances(rule, nine(first)))
    assert (len(found), found[-1]) == (count, nine(last))
    offsets = {one.date() <= date(1997, 10, 25): one.utcoffset() for one in found}
    assert offsets == {True: timedelta(hours=-4), False: timedelta(hours=-5)}


def test_every_friday_the_thirteenth_leaves_out_the_first_day() -> None:
    """Section 3.8.5.3, with EXDATE on the day the rule begins, which is no Friday; the rule has no end."""
    begins = nine("1997-09-02")
    found = islice(instances("FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", begins, [begins]), 5)
    assert [one.date() for one in found] == days("1998-02-13; 1998-03-13; 1998-11-13; 1999-08-13; 2000-10-13")


@pytest.mark.parametrize(
    ("repeat", "expected"),
    [
        (Repeat(date(1997, 9, 2), (TUESDAY,), count=10), EXAMPLES["weekly for 10 occurrences"][2]),
        (
            Repeat(date(1997, 9, 2), (TUESDAY, THURSDAY), until=date(1997, 10, 6)),
            EXAMPLES["weekly on Tuesday and Thursday for five weeks"][2],
        ),
        (
            Repeat(date(1997, 9, 2), (TUESDAY, THURSDAY), count=8, every=2),
            EXAMPLES["every other week on Tuesday and Thursday, for 8 occurrences"][2],
        ),
        (Repeat(date(1997, 8, 5), (TUESDAY, SUNDAY), count=4, every=2), EXAMPLES["weeks that begin on Monday"][2]),
    ],
)
def test_a_series_has_the_days_of_the_example_it_is_like(repeat: Repeat, expected: str) -> None:
    """The weekly examples, asked for as the page and the command do."""
    assert list(days_of(repeat)) == days(expected)


def test_a_series_is_written_as_a_rule_in_the_grammar() -> None:
    """Section 3.3.10: the last day is a DATE where the first one is; weekdays by their two letters."""
    repeat = Repeat(date(1997, 9, 1), (FRIDAY, MONDAY, WEDNESDAY), until=date(1997, 12, 23), every=2)
    assert rule_of(repeat) == "FREQ=WEEKLY;INTERVAL=2;WKST=MO;BYDAY=MO,WE,FR;UNTIL=19971223"
    assert (len(days_of(repeat)), days_of(repeat)[-1]) == (25, date(1997, 12, 22))


def test_a_last_day_is_itself_a_day() -> None:
    """Section 3.3.10: UNTIL bounds the rule in an inclusive manner."""
    until = date(1997, 10, 7)
    assert days_of(Repeat(date(1997, 9, 2), (TUESDAY,), until=until))[-1] == until
    moments = list(instances("FREQ=WEEKLY;UNTIL=19971007T130000Z", nine("1997-09-02")))
    assert moments[-1].astimezone(UTC) == datetime(1997, 10, 7, 13, tzinfo=UTC)
