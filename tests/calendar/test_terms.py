"""Terms: their days, their holidays, which is the current one, and the file of them."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.calendar.actions import import_terms, store_term
from mentor_training.calendar.queries import terms
from mentor_training.calendar.recurrence import Repeat, days_of, without
from mentor_training.calendar.terms import (
    COLUMNS,
    TermFact,
    as_row,
    current_term,
    holidays_of,
    read_terms,
    term_faults,
    term_of,
)
from mentor_training.calendar.versions import seal
from mentor_training.csv_form import write_rows
from mentor_training.errors import Refused, Stale
from mentor_training.journal.queries import entries
from mentor_training.people.permissions import CONSOLE
from tests.builders import World

FALL = TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 18), (date(2026, 11, 28),))
SPRING = TermFact("spring", "Spring 2027", date(2027, 1, 11), date(2027, 5, 14))
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))


@pytest.mark.parametrize(
    ("today", "code"),
    [
        (date(2026, 1, 1), "fall"),
        (date(2026, 8, 24), "fall"),
        (date(2026, 12, 18), "fall"),
        (date(2026, 12, 19), "spring"),
        (date(2028, 1, 1), "spring"),
    ],
)
def test_the_current_term_is_todays_or_the_next_or_the_last(today: date, code: str) -> None:
    """Between two terms one prepares the next."""
    found = current_term([SPRING, FALL], today)
    assert found is not None
    assert found.code == code
    assert current_term([], today) is None


@pytest.mark.parametrize(
    ("term", "detail"),
    [
        (TermFact("x", "X", date(2026, 9, 2), date(2026, 9, 1)), "last_day"),
        (TermFact("x", "X", date(2024, 1, 1), date(2025, 1, 1)), "last_day"),
        (TermFact("x", "X", date(1850, 1, 1), date(1850, 2, 1)), "first_day"),
        (TermFact("x", "X", date(2026, 12, 18), date(2026, 12, 20)), "first_day"),
        (TermFact("x", "X", date(2026, 1, 1), date(2026, 2, 1), (date(2026, 2, 2),)), "holidays"),
    ],
)
def test_what_is_wrong_with_a_term_is_said(term: TermFact, detail: str) -> None:
    """Backward, too long, a slip of the year, on days of another, a holiday outside."""
    assert [one.detail for one in term_faults(term, [FALL])] == [detail]


def test_a_term_of_a_leap_year_may_last_the_whole_of_it() -> None:
    """366 days are the most; and a term does not stand in its own way."""
    year = TermFact("x", "X", date(2024, 1, 1), date(2024, 12, 31))
    assert term_faults(year, [year]) == ()


@given(DAYS, st.integers(0, 200), DAYS, st.integers(0, 200), DAYS)
def test_no_day_is_in_two_terms(first: date, length: int, other: date, other_length: int, day: date) -> None:
    """Whatever two terms are let in beside each other."""
    one = TermFact("a", "A", first, first + timedelta(days=length))
    two = TermFact("b", "B", other, other + timedelta(days=other_length))
    if not term_faults(two, [one]):
        assert not (one.holds(day) and two.holds(day))
        assert term_of([one, two], day) == term_of([two, one], day)


@given(st.sets(DAYS, max_size=40), st.sets(st.integers(0, 6), min_size=1), st.integers(1, 30))
def test_a_series_has_no_day_on_a_holiday_and_loses_no_other(
    holidays: set[date], weekdays: set[int], count: int
) -> None:
    """Only holidays that it would have met are noted as left out."""
    repeat = Repeat(date(2026, 8, 24), tuple(sorted(weekdays)), count=count)
    found = without(repeat, holidays)
    assert set(days_of(found)) == set(days_of(repeat)) - holidays
    assert found.left_out == set(days_of(repeat)) & holidays


def test_a_file_of_terms_says_what_is_wrong_by_row_and_column() -> None:
    """All at once; what goes out comes in the same."""
    text = "term,title,first_day,last_day,holidays\r\nfall,Fall,2026-08-24,2026-12-18,2026-11-31\r\n"
    text += (
        "spring,,2027-01-11,2027-05-14,\r\nfall,Again,2026-12-01,2026-12-02,\r\nlate,Late,2027-05-14,2027-06-01,\r\n"
    )
    text += "early,Early,2027-05-01,2027-05-20,\r\n"
    found = [str(one) for one in read_terms(text)[1]]
    wanted = ("row 2, column holidays: '2026-11-31' is no day", "row 3, column title: it is empty",
              "row 4, column term: two rows for one term", "row 6, column first_day: Late (late) has some")  # fmt: skip
    assert [words for words in wanted if not any(one.startswith(words) for one in found)] == []
    out = write_rows(COLUMNS, [as_row(one) for one in (FALL, SPRING)])
    assert read_terms(out) == ([FALL, SPRING], [])


def test_a_term_is_kept_in_versions_and_a_stale_change_is_refused(world: World) -> None:
    """The newest version counts; the journal has each, without the title; the same again is nothing new."""
    with world.writing() as db:
        assert store_term(db, world.clock.now(), CONSOLE, FALL, seal(None))
        assert not store_term(db, world.clock.now(), CONSOLE, FALL, seal(None))
    moved = TermFact("fall", "Fall 2026", FALL.first_day, date(2026, 12, 11), FALL.holidays)
    with world.writing() as db:
        assert store_term(db, world.clock.now(), CONSOLE, moved, seal(FALL))
    with world.reading() as db:
        assert terms(db) == [moved]
        kept = entries(db, "fall", "term")
        assert "Fall 2026" not in str(kept[0].record)
        assert len(kept) == 2
    for seen in (seal(FALL), seal(None)):
        with pytest.raises(Stale), world.writing() as db:
            store_term(db, world.clock.now(), CONSOLE, TermFact("fall", "Mine", FALL.first_day, FALL.last_day), seen)


def test_terms_of_a_file_come_in_all_or_none(world: World) -> None:
    """One on days of another that is there keeps all out."""
    with world.writing() as db:
        import_terms(db, world.clock.now(), CONSOLE, [FALL])
    clash = TermFact("x", "X", date(2026, 12, 1), date(2027, 1, 2))
    with pytest.raises(Refused, match=r"has some of these days already"), world.writing() as db:
        import_terms(db, world.clock.now(), CONSOLE, [SPRING, clash])
    with world.reading() as db:
        assert terms(db) == [FALL]
        assert holidays_of(terms(db)) == {date(2026, 11, 28)}
