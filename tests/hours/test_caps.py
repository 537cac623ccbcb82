"""Caps for a day and a week: what waits above them, and what planned minutes would bring."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from mentor_training.hours.caps import over_the_caps, within_the_caps
from mentor_training.hours.rules import Entry, sums_by_category
from mentor_training.hours.toward import MET, ON_COURSE, Span, ahead_of

MONDAY = date(2026, 10, 12)
TERM = Span(MONDAY - timedelta(days=60), MONDAY + timedelta(days=60))


def entry(number: int, minutes: int, day: date = MONDAY, corrects: int | None = None, approved: str = "") -> Entry:
    return Entry(number, "v-001", "direct", day, minutes, corrects=corrects, approved_by=approved)


def test_what_is_over_the_days_cap_is_flagged_in_the_order_it_was_entered() -> None:
    """240 minutes a day: of 180 and 90, the second is 30 over; another day has its own cap."""
    log = [entry(1, 180), entry(2, 90), entry(3, 240, MONDAY + timedelta(days=1))]
    assert over_the_caps(log, 240, None) == {2: 30}


def test_the_weeks_cap_runs_from_monday_to_sunday() -> None:
    """ISO 8601: Sunday the 18th is in the week of Monday the 12th, the next day begins another."""
    sunday, next_monday = MONDAY + timedelta(days=6), MONDAY + timedelta(days=7)
    log = [entry(1, 200), entry(2, 200, sunday), entry(3, 200, next_monday)]
    assert over_the_caps(log, None, 300) == {2: 100}


def test_approved_minutes_count_first_and_are_never_over() -> None:
    """A cap holds back only what still waits."""
    log = [entry(1, 200), entry(2, 200, approved="i-01")]
    assert over_the_caps(log, 240, None) == {1: 160}
    assert over_the_caps([entry(1, 500, approved="i-01")], 240, None) == {}


def test_a_correction_counts_with_the_entry_it_corrects() -> None:
    """300 minutes less 90 are under a cap of 240."""
    assert over_the_caps([entry(1, 300), entry(2, -90, corrects=1)], 240, None) == {}
    assert over_the_caps([entry(1, 300), entry(2, 30, corrects=1)], 240, None) == {1: 90}


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(0, 20), st.booleans()), max_size=20))
def test_no_day_and_no_week_counts_more_than_its_cap_but_by_approval(parts: list[tuple[int, int, bool]]) -> None:
    """Over any log: what waits and counts never lifts a day or a week above its cap."""
    log = [
        entry(number, minutes, MONDAY + timedelta(days=day), approved="i-01" if approved else "")
        for number, (minutes, day, approved) in enumerate(parts, 1)
    ]
    over = over_the_caps(log, 360, 720)
    for days, cap in ((1, 360), (7, 720)):
        for start in range(0, 21, days):
            span = [one for one in log if start <= (one.day - MONDAY).days < start + days]
            approved = sum(one.minutes for one in span if one.approved_by)
            counted = sum(one.minutes - over.get(one.id, 0) for one in span)
            assert counted <= max(cap, approved)


# ---- planned minutes ----


def test_planned_minutes_have_the_room_that_the_log_leaves_them() -> None:
    """240 a day and 300 a week: behind 200 approved on Monday, Tuesday's session brings 100, the next nothing."""
    log = [entry(1, 200, approved="i-01")]
    planned = [(MONDAY, 90), (MONDAY + timedelta(days=1), 90), (MONDAY + timedelta(days=2), 90)]
    assert within_the_caps(log, planned, 240, None) == (40, 90, 90)
    assert within_the_caps(log, planned, 240, 300) == (40, 60, 0)
    assert within_the_caps(log, planned, None, None) == (90, 90, 90)
    assert within_the_caps([*log, entry(2, 30)], planned, 240, 300) == (10, 60, 0)


Parts = st.lists(st.tuples(st.integers(0, 400), st.integers(0, 20), st.booleans()), max_size=12)
Planned = st.lists(st.tuples(st.integers(0, 20), st.integers(0, 300)), max_size=8)
Caps = st.one_of(st.none(), st.integers(0, 900))


def log_of(parts: list[tuple[int, int, bool]]) -> list[Entry]:
    return [
        entry(number, minutes, MONDAY + timedelta(days=day), approved="i-01" if approved else "")
        for number, (minutes, day, approved) in enumerate(parts, 1)
    ]


@given(Parts, Planned, Caps, Caps)
def test_what_is_planned_counts_as_it_will_once_it_is_entered(
    parts: list[tuple[int, int, bool]], planned: list[tuple[int, int]], day_cap: int | None, week_cap: int | None
) -> None:
    """The same minutes, entered one after the other and waiting for approval, are over the caps by the rest."""
    log = log_of(parts)
    days = [(MONDAY + timedelta(days=day), minutes) for day, minutes in planned]
    entered = [entry(100 + place, minutes, day) for place, (day, minutes) in enumerate(days)]
    over = over_the_caps([*log, *entered], day_cap, week_cap)
    left = tuple(one.minutes - over.get(one.id, 0) for one in entered)
    assert within_the_caps(log, days, day_cap, week_cap) == left


@given(Parts, Planned, Caps, Caps, st.integers(1, 3000))
def test_nothing_is_shown_as_complete_or_on_course_by_the_plan_a_minute_early(
    parts: list[tuple[int, int, bool]],
    planned: list[tuple[int, int]],
    day_cap: int | None,
    week_cap: int | None,
    required: int,
) -> None:
    """Whatever is logged, planned and capped: what does not count once it is entered, meets no requirement."""
    log = log_of(parts)
    days = sorted((MONDAY + timedelta(days=day), minutes) for day, minutes in planned)
    counted = within_the_caps(log, days, day_cap, week_cap)
    over = over_the_caps(log, day_cap, week_cap)
    mine = sums_by_category(log, {"direct": required}, over, {})[0]
    ahead = ahead_of(mine, zip((day for day, _ in days), counted, strict=True), TERM, MONDAY)
    entered = [entry(100 + place, minutes, day) for place, (day, minutes) in enumerate(days)]
    beyond = over_the_caps([*log, *entered], day_cap, week_cap)
    by = [one for one in entered if ahead.by_plan and one.day <= ahead.by_plan]
    assert (ahead.outlook == MET) is (mine.approved >= required)
    if ahead.by_plan:
        assert ahead.outlook == ON_COURSE
        assert sum(one.minutes - beyond.get(one.id, 0) for one in (*log, *by)) >= required
    assert ahead.planned == sum(one.minutes - beyond.get(one.id, 0) for one in entered)
