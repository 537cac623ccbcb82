"""From when to when a paper is in force, as tables."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.papers.rules import OnFile, PaperState, date_faults, end_of, state_on

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
