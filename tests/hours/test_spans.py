"""Spans of time that are to be entered: overlaps, and clocks that went backwards."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.application import create_app
from mentor_training.hours.forms import ByHandForm
from mentor_training.hours.rules import Entry
from mentor_training.hours.spans import clashes, span_faults
from tests.builders import World

MONDAY = date(2026, 10, 12)
TEN = datetime(2026, 10, 12, 14, 0, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")


def spent(number: int, starts: int, ends: int) -> Entry:
    came, left = TEN + timedelta(minutes=starts), TEN + timedelta(minutes=ends)
    return Entry(number, "v-001", "direct", MONDAY, ends - starts, came, left, about="s-07")


@pytest.mark.parametrize(
    ("starts", "ends", "overlaps"),
    [
        (0, 60, True),
        (-30, 1, True),
        (59, 90, True),
        (10, 20, True),
        (-60, 0, False),
        (60, 120, False),
        (-60, 120, True),
    ],
)
def test_entries_may_touch_and_not_overlap(starts: int, ends: int, overlaps: bool) -> None:
    """One may begin at the minute another ends; the refusal names both."""
    new = spent(2, starts, ends)
    assert new.came
    assert new.left
    said = span_faults("Session s-08", new.came, new.left, [spent(1, 0, 60)])
    assert bool(said) is overlaps
    if overlaps:
        assert "Session s-08" in said[0]
        assert "entry 1 (s-07, 2026-10-12 14:00 to 15:00 UTC)" in said[0]


def test_a_span_runs_forward_and_for_less_than_a_day() -> None:
    """Anything else is a slip of the pen, and is said."""
    assert "ends before it begins" in span_faults("This time", TEN, TEN - timedelta(minutes=1), [])[0]
    assert "a day long" in span_faults("This time", TEN, TEN + timedelta(days=1), [])[0]


def test_the_refusal_says_which_minutes_both_would_have() -> None:
    """From when to when, and how many."""
    said = span_faults("This time", TEN + timedelta(minutes=45), TEN + timedelta(minutes=90), [spent(1, 0, 60)])[0]
    assert "for 15 min, 14:45 to 15:00" in said


@given(st.integers(-120, 120), st.integers(1, 240), st.lists(st.tuples(st.integers(-120, 120), st.integers(0, 240))))
def test_a_clash_is_exactly_the_minutes_that_both_have(starts: int, long: int, others: list[tuple[int, int]]) -> None:
    """Counted minute by minute (own arithmetic); who has no minute in common is no clash."""
    log = [spent(number, first, first + minutes) for number, (first, minutes) in enumerate(others, 1)]
    mine = set(range(starts, starts + long))
    wanted = {
        number: len(mine & set(range(first, first + minutes))) for number, (first, minutes) in enumerate(others, 1)
    }
    found = clashes(TEN + timedelta(minutes=starts), TEN + timedelta(minutes=starts + long), log)
    assert {one.entry.id: one.minutes for one in found} == {key: more for key, more in wanted.items() if more}


# ---- a clock that went backwards ----


def test_a_clock_that_went_backwards_is_said_with_both_times() -> None:
    """The times are those of the span's own zone, and the clock is named as what to look at."""
    came = datetime(2026, 10, 17, 10, 30, tzinfo=NEW_YORK)
    (said,) = span_faults("Session s-10", came, came - timedelta(minutes=20), [])
    assert said.startswith("Session s-10, 2026-10-17 10:30 to 10:10 EDT, ends before it begins; check both times")
    assert "the clock that they were read from" in said


def test_on_the_night_the_clock_is_set_back_what_passed_counts_and_what_did_not_is_said() -> None:
    """01:45 EDT to 01:15 EST are 30 minutes; 01:15 EST to 01:45 EDT run backwards, and the words tell them apart."""
    summer, winter = (
        datetime(2026, 11, 1, 1, minute, tzinfo=NEW_YORK, fold=fold) for minute, fold in ((45, 0), (15, 1))
    )
    assert span_faults("This time", summer, winter, []) == []
    said = span_faults("This time", winter, summer, [])[0]
    assert said.startswith("This time, 2026-11-01 01:15 EST to 01:45 EDT, ends before it begins")
    late = span_faults(
        "This time", summer, winter, [Entry(7, "v-001", "direct", MONDAY, 30, summer, winter, about="s-1")]
    )
    assert "overlaps entry 7 (s-1, 2026-11-01 01:45 EDT to 01:15 EST) for 30 min" in late[0]


@pytest.mark.parametrize(
    ("starts", "ends", "minutes"),
    [(time(1, 45), time(1, 15), 30), (time(1, 15), time(1, 45), 30), (time(0, 45), time(2, 15), 150)],
)
def test_typed_times_of_that_night_run_forward_where_they_can(
    world: World, starts: time, ends: time, minutes: int
) -> None:
    """A clock time that is there twice is the first of the two; an end before the beginning is the second."""
    with create_app(world.instance, testing=True).test_request_context():
        form = ByHandForm(meta={"csrf": False})
        form.day.data, form.starts.data, form.ends.data = date(2026, 11, 1), starts, ends
        _, _, came, left, _ = form.values(NEW_YORK)
        assert (left.astimezone(UTC) - came.astimezone(UTC)) == timedelta(minutes=minutes)
