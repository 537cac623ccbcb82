"""From when to when a paper is in force, as tables."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.papers.rules import (
    DECIDED,
    MONTHS,
    NOTICE_DAYS,
    PRINTED,
    UNUSED,
    UNVERIFIED,
    Notice,
    OnFile,
    PaperState,
    Seen,
    date_faults,
    deletion_of,
    end_of,
    notice_on,
    state_on,
    verification_faults,
    what_ends,
)

DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def day(text: str) -> date | None:
    """Read a day, or nothing."""
    return date.fromisoformat(text) if text else None


def spans(text: str) -> list[OnFile]:
    """Read spans written `first..last`, with `w` before those of a waiver."""
    found = []
    for word in text.split():
        first, last = word.removeprefix("w").split("..")
        found.append(OnFile(date.fromisoformat(first), day(last), word.startswith("w")))
    return found


@pytest.mark.parametrize(
    ("issued", "stated", "months", "end"),
    [
        ("2025-10-20", "", 24, "2027-10-20"),
        ("2025-10-20", "2026-10-19", 24, "2026-10-19"),
        ("2025-10-20", "2028-10-19", 24, "2027-10-20"),
        ("2025-10-20", "2026-10-19", None, "2026-10-19"),
        ("2025-10-20", "", None, ""),
        ("2024-02-29", "", 24, "2026-02-28"),
    ],
)
def test_a_paper_ends_on_its_stated_day_or_so_many_months_after_issue(
    issued: str, stated: str, months: int | None, end: str
) -> None:
    """Whichever comes first; with neither it stays open."""
    assert end_of(date.fromisoformat(issued), day(stated), months) == day(end)


@pytest.mark.parametrize(
    ("held", "state"),
    [
        ("", PaperState("not-on-file")),
        ("2026-01-01..2026-10-16", PaperState("in-force", date(2026, 10, 16))),
        ("2026-01-01..", PaperState("in-force", None)),
        ("2026-01-01..2026-10-15", PaperState("ended", date(2026, 10, 15))),
        ("2026-10-17..2027-10-17", PaperState("not-begun", date(2026, 10, 17))),
        ("2025-01-01..2025-06-30 2027-01-01..", PaperState("ended", date(2025, 6, 30))),
        ("2026-01-01..2026-10-31 2026-11-01..2027-10-31", PaperState("in-force", date(2027, 10, 31))),
        ("2026-01-01..2026-10-31 2026-11-02..2027-10-31", PaperState("in-force", date(2026, 10, 31))),
        ("w2026-10-01..2026-11-30", PaperState("in-force", date(2026, 11, 30), waiver=True)),
        ("w2026-10-01..2026-11-30 2026-01-01..2026-10-20", PaperState("in-force", date(2026, 11, 30))),
        ("2026-12-01..2026-11-01", PaperState("not-on-file")),
        ("2026-01-01..9999-12-31", PaperState("in-force", date(9999, 12, 31))),
    ],
)
def test_how_a_paper_stands_on_a_day(held: str, state: PaperState) -> None:
    """Spans that touch run on into each other, a gap of one day ends the first, and a waiver is named as one."""
    assert state_on(spans(held), date(2026, 10, 16)) == state


@pytest.mark.parametrize(("last", "soon"), [("2026-10-16", True), ("2027-01-14", True), ("2027-01-15", False)])
def test_what_ends_within_ninety_days_is_said(last: str, soon: bool) -> None:
    """The ninetieth day still counts; an open one never ends soon."""
    on = date(2026, 10, 16)
    assert state_on(spans(f"2026-01-01..{last}"), on).ends_within(on, 90) is soon
    assert not state_on(spans("2026-01-01.."), on).ends_within(on, 90)


@pytest.mark.parametrize(
    ("issued", "last", "fields"),
    [
        ("2026-10-16", "", []),
        ("2026-10-16", "2026-10-16", []),
        ("2026-10-17", "", ["issued"]),
        ("2026-10-10", "2026-10-09", ["last_day"]),
        ("2026-10-20", "2026-10-18", ["issued", "last_day"]),
        ("", "2026-10-18", ["issued"]),
        ("1066-10-14", "", ["issued"]),
        ("2026-10-01", "9999-12-31", ["last_day"]),
    ],
)
def test_dates_that_cannot_be_are_named_by_field(issued: str, last: str, fields: list[str]) -> None:
    """Not issued in the future, not ended before it was issued, no day that no record could carry: all at once.

    What could not be verified later is not left to wait.
    """
    assert list(date_faults(date(2026, 10, 16), day(issued), day(last))) == fields


@given(st.lists(st.builds(OnFile, DAYS, st.none() | DAYS, st.booleans()), max_size=5), DAYS)
def test_in_force_through_a_day_means_held_on_each_day_up_to_it(held: list[OnFile], on: date) -> None:
    """And not on the day after."""
    state = state_on(held, on)
    assert (state.kind == "in-force") == any(span.covers(on) for span in held)
    if state.kind == "in-force" and state.day is not None:
        assert not any(span.covers(state.day + timedelta(days=1)) for span in held)
        for offset in range(0, (state.day - on).days + 1, 37):
            assert any(span.covers(on + timedelta(days=offset)) for span in held)


@given(DAYS, st.none() | DAYS, st.none() | st.integers(1, 60))
def test_an_end_is_never_after_what_the_paper_states(issued: date, stated: date | None, months: int | None) -> None:
    """The program may cut a paper short, never lengthen it."""
    end = end_of(issued, stated, months)
    assert stated is None or (end is not None and end <= stated)
    assert months is None or end is not None


@pytest.mark.parametrize(
    ("left", "step"),
    [(61, None), (60, 60), (31, 60), (30, 30), (15, 30), (14, 14), (8, 14), (7, 7), (2, 7), (1, 1), (0, 1), (-1, None)],
)
def test_the_notice_of_a_day_is_the_smallest_step_not_less_than_the_days_left(left: int, step: int | None) -> None:
    """On the last day itself the last notice stands; after it the paper has ended, and that is said instead."""
    on = date(2026, 10, 16)
    assert notice_on(on + timedelta(days=left), on) == (Notice(step, left) if step else None)


def test_what_has_no_end_is_never_noticed() -> None:
    """An open paper runs on."""
    assert notice_on(None, date(2026, 10, 16)) is None


@given(DAYS, DAYS, st.booleans())
def test_as_the_end_comes_nearer_the_steps_only_go_down(ends: date, on: date, waits: bool) -> None:
    """Each is one of the five, is never less than the days left, and no smaller one would be enough."""
    given_on = notice_on(ends, on, waits)
    left = (ends - on).days
    assert (given_on is not None) == (0 <= left <= max(NOTICE_DAYS))
    if given_on:
        assert (given_on.left, given_on.waits) == (left, waits)
        assert given_on.step in NOTICE_DAYS
        assert given_on.step >= left
        assert not [step for step in NOTICE_DAYS if left <= step < given_on.step]
        later = notice_on(ends, on + timedelta(days=1))
        assert later is None or later.step <= given_on.step


@given(DAYS)
def test_from_sixty_days_before_each_of_the_five_notices_comes_once(ends: date) -> None:
    """Whoever sends one whenever the step changes sends five."""
    given_on = (notice_on(ends, ends - timedelta(days=left)) for left in range(60, -1, -1))
    assert list(dict.fromkeys(one.step for one in given_on if one)) == list(NOTICE_DAYS)


@given(DAYS, st.none() | DAYS, st.none() | st.integers(1, 60))
def test_what_ends_a_paper_agrees_with_when_it_ends(issued: date, printed: date | None, months: int | None) -> None:
    """The day is that of `end_of`, always; the printed day is named wherever it is not the later of the two."""
    end = what_ends(issued, printed, months)
    assert end.day == end_of(issued, printed, months)
    if end.by == PRINTED:
        assert end.day == printed
        assert end.by_months is None or (printed is not None and printed <= end.by_months)
    elif end.by == MONTHS:
        assert end.day == end.by_months
        assert printed is None or end.day is None or printed > end.day
    else:
        assert (printed, months, end.day) == (None, None, None)


@pytest.mark.parametrize(
    ("asks", "answer", "field"),
    [(False, None, ""), (True, True, ""), (True, None, "Answer it"), (True, False, "cannot be verified; decline it")],
)
def test_a_paper_that_asks_for_the_hands_on_part_needs_the_answer_yes(
    asks: bool, answer: bool | None, field: str
) -> None:
    """A course taken online alone is declined with its reason, never verified."""
    faults = verification_faults(date(2026, 10, 16), Seen(date(2026, 1, 1), None, answer), asks)
    assert set(faults) == ({"hands_on"} if field else set())
    assert field in faults.get("hands_on", "")


def test_corrected_dates_are_held_to_what_dates_may_be() -> None:
    """As when it was put on file."""
    on = date(2026, 10, 16)
    assert set(verification_faults(on, Seen(None), False)) == {"issued"}
    assert set(verification_faults(on, Seen(on + timedelta(days=1)), True)) == {"issued", "hands_on"}
    assert set(verification_faults(on, Seen(on, on - timedelta(days=1)), False)) == {"last_day"}


@given(DAYS, st.lists(st.none() | st.integers(0, 400), max_size=4), st.integers(0, 90), st.integers(1, 90))
def test_a_scan_stays_while_a_paper_waits_and_no_longer_than_it_is_of_use(
    put: date, after: list[int | None], kept: int, waits: int
) -> None:
    """By cases: none shows it, all are decided on, or one waits; and never before it was put there."""
    decided = [None if days is None else put + timedelta(days=days) for days in after]
    day, because = deletion_of(put, decided, kept, waits)
    assert day >= put
    if not decided:
        assert (day, because) == (put, UNUSED)
    elif None in decided:
        assert (day, because) == (put + timedelta(days=waits), UNVERIFIED)
    else:
        last = max(one for one in decided if one is not None)
        assert (day, because) == (last + timedelta(days=kept), DECIDED)
