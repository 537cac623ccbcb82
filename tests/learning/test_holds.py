"""When a quiz may be tried again, as tables of what happened."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.learning.rules.holds import Tried, counted, hold, permission

START = datetime(2026, 9, 1, 12, tzinfo=UTC)


def hour(number: float) -> datetime:
    """Return the moment so many hours after the beginning."""
    return START + timedelta(hours=number)


def story(text: str) -> tuple[list[Tried], list[datetime]]:
    """Read what happened: the hour, then `passed`, `not-yet` with the unsafe items, `begun` or `talk`, one a line.

    An attempt closes an hour after it starts.
    """
    tried, talks = [], []
    for line in filter(str.strip, text.splitlines()):
        at, what, *unsafe = line.split()
        if what == "talk":
            talks.append(hour(float(at)))
        elif what == "begun":
            tried.append(Tried(hour(float(at))))
        else:
            tried.append(Tried(hour(float(at)), hour(float(at) + 1), what == "passed", tuple(unsafe)))
    return tried, talks


@pytest.mark.parametrize(
    ("text", "at", "may_start", "held"),
    [
        ("", 0, True, False),
        ("0 not-yet", 2, False, False),
        ("0 not-yet", 12.9, False, False),
        ("0 not-yet", 13, True, False),
        ("0 not-yet\n20 not-yet", 40, True, False),
        ("0 not-yet\n20 not-yet\n40 not-yet", 90, False, True),
        ("0 not-yet\n20 not-yet\n40 not-yet\n60 talk", 90, True, False),
        ("0 not-yet\n20 not-yet\n40 not-yet\n41 talk", 90, True, False),
        ("0 not-yet\n20 not-yet\n40 not-yet\n42 talk", 43, False, False),
        ("0 not-yet\n20 not-yet\n30 talk\n40 not-yet\n60 not-yet", 90, True, False),
        ("0 not-yet\n20 not-yet\n40 not-yet\n60 talk\n70 not-yet\n90 not-yet\n110 not-yet", 150, False, True),
        ("0 not-yet chest", 20, True, False),
        ("0 not-yet chest\n20 not-yet chest", 90, False, True),
        ("0 not-yet chest\n20 not-yet neck", 90, True, False),
        ("0 not-yet chest\n20 passed\n40 not-yet chest", 90, False, True),
        ("0 not-yet chest\n20 talk\n40 not-yet chest", 90, True, False),
        ("0 not-yet chest\n20 not-yet chest\n22 talk", 90, True, False),
    ],
)
def test_three_not_passed_or_the_same_unsafe_choice_twice_hold_until_a_talk(
    text: str, at: float, may_start: bool, held: bool
) -> None:
    """And twelve hours lie between the end of one attempt and the start of the next. Rules of this program."""
    tried, talks = story(text)
    found = permission(tried, talks, 3, 12, hour(at))
    assert (found.may_start, found.hold is not None) == (may_start, held)


def test_a_hold_names_what_held() -> None:
    """How many were not passed, which items were unsafe twice, and since when."""
    tried, talks = story("0 not-yet neck chest\n20 not-yet chest\n40 not-yet neck")
    found = hold(tried, talks, 3, hour(50))
    assert found is not None
    assert (found.not_passed, found.unsafe_twice, found.since) == (3, ("chest", "neck"), hour(41))


def test_an_open_attempt_is_gone_on_with() -> None:
    """No second one starts beside it, for as long as it can be taken up again: 24 hours. A rule of this program."""
    tried, talks = story("0 begun")
    assert permission(tried, talks, 3, 12, hour(23.9)).open == tried[0]
    after = permission(tried, talks, 3, 12, hour(24))
    assert after.open is None
    assert after.may_start


def test_the_first_attempt_that_was_broken_off_is_not_counted_and_later_ones_are() -> None:
    """A connection may break once; opening attempts to look at the questions and leaving does not go on for free."""
    tried, _ = story("0 begun\n30 begun\n60 begun\n90 begun")
    assert counted(tried, hour(200)) == tuple(tried[1:])
    assert hold(tried, (), 3, hour(200)) is not None
    assert hold(tried[:3], (), 3, hour(200)) is None


def test_the_cool_down_ends_when_it_is_said_to() -> None:
    """From the end of the last attempt that counts, in hours of the program's own setting."""
    tried, talks = story("0 not-yet")
    assert permission(tried, talks, 3, 48, hour(2)).from_moment == hour(49)
    assert permission(tried, talks, 3, 0, hour(2)).may_start


outcomes = st.lists(st.tuples(st.booleans(), st.sampled_from(["", "chest", "neck"])), max_size=8)


@given(outcomes, st.integers(1, 5))
def test_a_talk_after_everything_releases_whatever_held(happened: list[tuple[bool, str]], failures: int) -> None:
    """And without one, a hold never ends by waiting."""
    tried = [
        Tried(hour(20 * at), hour(20 * at + 1), passed and not unsafe, (unsafe,) if unsafe else ())
        for at, (passed, unsafe) in enumerate(happened)
    ]
    later = hour(1000)
    assert hold(tried, [hour(500)], failures, later) is None
    held_now, held_later = (hold(tried, (), failures, moment) is not None for moment in (hour(200), later))
    assert (
        held_now
        == held_later
        == (
            sum(not one.passed for one in tried) >= failures
            or any(sum(item in one.unsafe for one in tried) >= 2 for item in ("chest", "neck"))
        )
    )
