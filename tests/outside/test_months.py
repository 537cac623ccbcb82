"""Calendar months: "valid for two years" ends as published rules say.

Regulation (EEC, Euratom) 1182/71, Art. 3(2)(c): a period in months or years ends with the same date of its last month,
and where that date does not exist there, with the last day of that month (read in a parallel-text corpus that repeats
the sentence; check against the current original). The days were also computed with dateutil's relativedelta.
"""

from __future__ import annotations

from calendar import isleap, monthrange
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.evidence.corrections import months_later
from mentor_training.papers.rules import end_of


@pytest.mark.parametrize(
    ("issued", "months", "end"),
    [
        ("2024-02-29", 24, "2026-02-28"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2023-02-28", 24, "2025-02-28"),
        ("2024-03-01", 24, "2026-03-01"),
        ("2026-01-31", 1, "2026-02-28"),
    ],
)
def test_a_paper_valid_for_months_ends_as_the_regulation_says(issued: str, months: int, end: str) -> None:
    """On the same date, or on the last day of a month that has no such date."""
    assert end_of(date.fromisoformat(issued), None, months) == date.fromisoformat(end)


def test_two_years_are_not_730_days() -> None:
    """From 28 February 2023, 730 days lead to 27 February 2025: a day too early."""
    issued = date(2023, 2, 28)
    assert issued + timedelta(days=730) == date(2025, 2, 27)
    assert months_later(issued, 24) == date(2025, 2, 28)


def test_months_are_added_to_the_day_itself_and_not_step_by_step() -> None:
    """Four steps of a year from 29 February 2024 lose the day; one step of four years does not."""
    day: date | None = date(2024, 2, 29)
    for _ in range(4):
        assert day is not None
        day = months_later(day, 12)
    assert day == date(2028, 2, 28)
    assert months_later(date(2024, 2, 29), 48) == date(2028, 2, 29)


@pytest.mark.parametrize(("year", "leap"), [(2000, True), (2024, True), (2028, True), (2400, True), (1900, False),
                                            (2100, False), (2023, False), (2026, False)])  # fmt: skip
def test_the_last_of_february_follows_the_leap_years(year: int, leap: bool) -> None:
    """The Gregorian rule, as in ISO 8601: every fourth year, no full century but every fourth."""
    assert isleap(year) is leap
    assert months_later(date(year, 1, 31), 1) == date(year, 2, 29 if leap else 28)


@given(st.dates(date(1950, 1, 1), date(2150, 12, 31)), st.integers(1, 240))
def test_the_end_is_the_same_date_or_the_last_of_its_month(issued: date, months: int) -> None:
    """The regulation's sentence, computed here from year, month and day alone."""
    years, month = divmod(issued.month - 1 + months, 12)
    year, month = issued.year + years, month + 1
    assert months_later(issued, months) == date(year, month, min(issued.day, monthrange(year, month)[1]))
