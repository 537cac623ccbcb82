"""What the clock says of a session: now, next and later; late and early; who moves; what is counted."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.rules import equal_blocks
from mentor_training.planning.by_clock import (
    BEFORE,
    BETWEEN,
    OVER,
    RUNNING,
    Counted,
    Move,
    blocks_missed,
    counted_in,
    is_early,
    is_late,
    moves,
    phase_of,
)
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed
from tests.planning.saturday import SATURDAY, session

WEEK6 = session(blocks="09:50-10:02;10:05-10:17;10:20-10:32")


def local(clock: str, day: date = SATURDAY) -> datetime:
    return datetime.fromisoformat(f"{day}T{clock}")


@pytest.mark.parametrize(
    ("clock", "state", "now", "following", "later"),
    [
        ("09:00", BEFORE, None, 1, [2, 3]),
        ("09:50", RUNNING, 1, 2, [3]),
        ("10:01:59", RUNNING, 1, 2, [3]),
        ("10:02", BETWEEN, None, 2, [3]),
        ("10:25", RUNNING, 3, None, []),
        ("10:32", OVER, None, None, []),
    ],
)
def test_a_block_has_its_first_minute_and_not_its_last(
    clock: str, state: str, now: int | None, following: int | None, later: list[int]
) -> None:
    """Between two blocks nothing is now, and the next one is what one looks at."""
    found = phase_of(WEEK6, local(clock))
    assert (found.state, found.now.number if found.now else None) == (state, now)
    assert (found.next.number if found.next else None, [one.number for one in found.later]) == (following, later)


def test_on_another_day_the_session_is_before_or_over() -> None:
    """Whatever the time of day is."""
    assert phase_of(WEEK6, local("23:59", SATURDAY - timedelta(days=1))).state == BEFORE
    assert phase_of(WEEK6, local("00:01", SATURDAY + timedelta(days=1))).state == OVER


@given(count=st.integers(1, 24), minute=st.integers(0, 24 * 60 - 1))
def test_every_block_is_over_or_now_or_next_or_later_and_only_one_of_them(count: int, minute: int) -> None:
    """Whatever the session's cut and the time; and what is over has been missed by who comes then."""
    blocks = equal_blocks(time(9), time(12), count)
    whole = WEEK6.__class__(**{**WEEK6.__dict__, "blocks": blocks})
    clock = local("00:00") + timedelta(minutes=minute)
    found = phase_of(whole, clock)
    ahead = [one for one in (found.now, found.next, *found.later) if one]
    assert [one.number for one in ahead] == list(range(count - len(ahead) + 1, count + 1))
    assert blocks_missed(whole, clock) == tuple(range(1, count - len(ahead) + 1))


def test_who_comes_after_the_first_block_began_is_late_and_who_leaves_before_the_last_is_over_is_early() -> None:
    """At the very minute neither; what was missed is every block without a minute of theirs."""
    assert (is_late(WEEK6, local("09:50")), is_late(WEEK6, local("09:51"))) == (False, True)
    assert (is_early(WEEK6, local("10:32")), is_early(WEEK6, local("10:31"))) == (False, True)
    assert blocks_missed(WEEK6, None) == (1, 2, 3)
    assert blocks_missed(WEEK6, local("10:01"), local("10:05")) == (2, 3)
    assert blocks_missed(WEEK6, local("10:02"), local("10:21")) == (1,)


def test_who_moves_is_told_with_where_from_and_where_to() -> None:
    """A participant by the station, a volunteer also by company and task; who stays is left out."""
    before = [
        Placed(1, "lane", "v-1", LEAD, None, 3),
        Placed(1, "lane", "v-2", MENTOR, "p-1", 2),
        Placed(1, "games", "v-3", MENTOR, "p-2", 2),
    ]
    after = [
        Placed(2, "lane", "v-1", LEAD, None, 3),
        Placed(2, "lane", "v-3", MENTOR, "p-1", 2),
        Placed(2, "games", "v-4", MENTOR, "p-2", 2),
    ]
    assert moves([*before, *after], 1, 2) == (
        Move("v-2", False, before[1], None),
        Move("v-3", False, before[2], after[1]),
        Move("v-4", False, None, after[2]),
    )
    gone = moves(before, 1, 2)
    assert [one.who for one in gone if one.is_participant] == ["p-1", "p-2"]


def test_leads_and_duties_are_not_counted_with_the_mentors() -> None:
    """Each duty is told by itself."""
    placed = [
        Placed(1, "lane", "v-1", LEAD, None, 3),
        Placed(1, "lane", "v-2", MENTOR, "p-1", 1),
        Placed(1, "lane", "v-3", MENTOR, "p-1", 2),
        Placed(1, "watch", "v-4", DUTY, None, 2),
        Placed(2, "lane", "v-5", MENTOR, "p-2", 2),
    ]
    assert counted_in(placed, 1) == Counted(1, 2, 1, 1, (("watch", 1),))
