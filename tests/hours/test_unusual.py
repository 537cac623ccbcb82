"""What is unusual about an entry that waits, and that it comes first, with why."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.hours.rules import Entry
from mentor_training.hours.spans import clashes_of
from mentor_training.hours.unusual import WaitingLine, reasons, waiting_lines

DAY = date(2026, 10, 13)
TEN = datetime(2026, 10, 13, 14, 0, tzinfo=UTC)


def stay(
    number: int, minutes: int, days: int = 0, starts: int = 0, flag: str = "", approved: str = ""
) -> Entry:  # fmt: skip
    came = TEN + timedelta(days=days, minutes=starts)
    day, left = DAY + timedelta(days=days), came + timedelta(minutes=minutes)
    return Entry(number, "v-001", "direct", day, minutes, came, left, about="s-07", flag=flag, approved_by=approved)


USUAL = tuple(stay(number, 90, number, approved="i-01") for number in range(1, 4))


@pytest.mark.parametrize(
    ("one", "over", "log", "said"),
    [
        (stay(9, 90), 0, USUAL, ()),
        (stay(9, 90, flag="no check-out"), 0, USUAL, ("no check-out",)),
        (stay(9, 90), 30, (), ("30 min over a cap; not counted until approved.",)),
        (stay(9, 0), 0, (), ("no minute between coming and leaving; look at the clock of that day.",)),
        (stay(9, 135), 0, USUAL, ()),
        (stay(9, 136), 0, USUAL, ("136 min, where their other sessions are 90 min.",)),
        (stay(9, 136), 0, USUAL[:2], ()),
        (stay(9, 601), 0, (), ("601 min are longer than 10 hours.",)),
        (stay(9, 60, 1, 89), 0, USUAL[:1], ("at the same time as entry 1, 1 min.",)),
        (stay(9, 60, 1, 90), 0, USUAL[:1], ()),
    ],
)
def test_each_reason_is_said_and_a_usual_stay_has_none(
    one: Entry, over: int, log: tuple[Entry, ...], said: tuple[str, ...]
) -> None:
    """Half as long again, and more than half an hour longer, than at least three other sessions."""
    assert reasons(one, (), over, (*log, one)) == said


def test_two_entries_at_the_same_time_are_both_shown_each_with_the_other() -> None:
    """Whoever approves sees both before the rest, and picks one."""
    log = (stay(1, 60, 3), stay(2, 60), stay(3, 60, 0, 30))
    assert [(line.entry.id, line.unusual) for line in waiting_lines("Odalys", log, {})] == [
        (2, ("at the same time as entry 3, 30 min.",)),
        (3, ("at the same time as entry 2, 30 min.",)),
        (1, ()),
    ]


def test_what_corrections_leave_nothing_of_asks_for_a_look() -> None:
    """An entry of 60 minutes less 60."""
    log = (stay(1, 60), Entry(2, "v-001", "direct", DAY, -60, corrects=1))
    assert waiting_lines("Odalys", log, {})[0].unusual == ("corrections leave nothing of it.",)


STAYS = st.lists(
    st.tuples(st.integers(0, 700), st.integers(0, 3), st.integers(0, 600), st.booleans(), st.booleans()), max_size=12
)


@given(STAYS)
def test_no_unusual_entry_ever_comes_after_a_usual_one(parts: list[tuple[int, int, int, bool, bool]]) -> None:
    """Over any log: every waiting entry is there once, the most unusual first; to overlap is mutual."""
    log = tuple(
        stay(number, minutes, days, starts, "flag" if is_flagged else "", "i-01" if is_approved else "")
        for number, (minutes, days, starts, is_flagged, is_approved) in enumerate(parts, 1)
    )
    lines = waiting_lines("Odalys", log, {})
    assert sorted(one.entry.id for one in lines) == [one.id for one in log if not one.approved_by]
    assert lines == tuple(sorted(lines, key=WaitingLine.place))
    told = [one.asks_for_a_look for one in lines]
    assert told == sorted(told, reverse=True)
    pairs = {(one.id, clash.entry.id, clash.minutes) for one in log for clash in clashes_of(one, log)}
    assert pairs == {(other, one, minutes) for one, other, minutes in pairs}
