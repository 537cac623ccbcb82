"""What counts, what is over a cap, what a sum is and how it is stated."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.hours.caps import over_the_caps
from mentor_training.hours.rules import (
    Entry,
    Rounding,
    approval_fault,
    elapsed_minutes,
    in_hours,
    nearest,
    rule_in_words,
    stated_hours,
    sums_by_category,
    to_the_minute,
)
from mentor_training.hours.toward import credits_worth
from mentor_training.people.permissions import CONSOLE, Actor

MONDAY = date(2026, 10, 12)
TEN = datetime(2026, 10, 12, 14, 0, tzinfo=UTC)
INSTRUCTOR = Actor("i-01", "Hadrian", frozenset({"course-instructor"}), ("KIN-372-A",))


def entry(number: int, minutes: int, day: date = MONDAY, corrects: int | None = None, approved: str = "") -> Entry:
    return Entry(number, "v-001", "direct", day, minutes, corrects=corrects, approved_by=approved)


def test_seconds_are_dropped_so_that_a_span_is_what_its_clock_times_show() -> None:
    """09:30:59 to 11:05:01 reads 09:30 to 11:05 and counts 95 minutes."""
    came, left = datetime(2026, 10, 12, 9, 30, 59, tzinfo=UTC), datetime(2026, 10, 12, 11, 5, 1, tzinfo=UTC)
    assert elapsed_minutes(came, left) == 95


def test_a_clock_time_without_a_zone_is_not_taken() -> None:
    """Nobody can say how long it was between two of them."""
    with pytest.raises(ValueError, match="time zone"):
        to_the_minute(datetime(2026, 10, 12, 9, 30))  # noqa: DTZ001


def test_twelve_sessions_of_97_minutes_are_19_40_hours_and_stated_as_19_50() -> None:
    """The sum is rounded once; rounding each session first would give 18.00 (own arithmetic)."""
    minutes = 12 * 97
    assert (minutes, in_hours(minutes)) == (1164, Decimal("19.40"))
    assert stated_hours(minutes, Rounding("statement")) == Decimal("19.50")
    assert sum(nearest(97, 15) for _ in range(12)) == 18 * 60
    assert stated_hours(minutes, Rounding("none")) == Decimal("19.40")


def test_a_correction_that_takes_all_back_takes_its_rounding_back_too() -> None:
    """Half up goes away from zero on both sides."""
    for minutes in range(121):
        assert stated_hours(minutes, Rounding()) + stated_hours(-minutes, Rounding()) == 0


def test_each_rule_is_named_in_words() -> None:
    """A statement prints the rule it used."""
    assert "quarter of an hour, half up" in rule_in_words(Rounding("statement"))
    assert "nearest 6 minutes, half up, as 29 CFR 785.48(b)" in rule_in_words(Rounding("clock", 6))
    assert "Nothing is rounded" in rule_in_words(Rounding("none"))


def test_a_requirement_is_never_complete_a_minute_early() -> None:
    """1799 of 1800 minutes read 29.98 h, one minute is missing, and it is 99 percent."""
    short, full = (
        sums_by_category([entry(1, minutes, approved="i-01")], {"direct": 1800}, {}, {})[0] for minutes in (1799, 1800)
    )
    assert (short.missing, short.percent, in_hours(short.approved)) == (1, 99, Decimal("29.98"))
    assert (full.missing, full.percent) == (0, 100)


def test_sums_tell_apart_what_is_approved_what_waits_and_what_is_over_a_cap() -> None:
    """Only approved minutes count toward the requirement; those of the register count with them."""
    log = [entry(1, 200, approved="i-01"), entry(2, 100)]
    found = sums_by_category(log, {"direct": 600, "training": 60}, over_the_caps(log, 240, None), {"direct": 50})
    assert [one.category for one in found] == ["training", "direct"]
    assert (found[1].approved, found[1].waiting, found[1].over, found[1].missing) == (250, 100, 60, 350)


def test_hours_are_approved_by_the_sections_instructor_and_by_nobody_for_themselves() -> None:
    """The coordinator approves for those in no section only."""
    assert approval_fault(INSTRUCTOR, "v-001", ("KIN-372-A",)) == ""
    assert "instructor of KIN-372-B" in approval_fault(INSTRUCTOR, "v-002", ("KIN-372-B",))
    assert "instructor of KIN-372-A" in approval_fault(CONSOLE, "v-001", ("KIN-372-A",))
    assert approval_fault(CONSOLE, "v-040", ()) == ""
    assert "the coordinator" in approval_fault(INSTRUCTOR, "v-040", ())
    assert "their own" in approval_fault(INSTRUCTOR, "i-01", ("KIN-372-A",))


@pytest.mark.parametrize(
    ("minutes", "worth"),
    [(135 * 60, "3.00"), (135 * 60 - 1, "2.99"), (22 * 60 + 30, "0.50"), (0, "0.00"), (-60, "0.00")],
)
def test_hours_become_credits_at_45_and_never_a_minute_early(minutes: int, worth: str) -> None:
    """34 CFR 600.2: 3 hours a week for 15 weeks (own arithmetic)."""
    assert credits_worth(minutes) == Decimal(worth)


@pytest.mark.parametrize(("per_credit", "minutes"), [(37.5, 2250), (40.0, 2400), (50.0, 3000)])
def test_a_course_may_set_how_many_hours_a_credit_is(per_credit: float, minutes: int) -> None:
    """A credit is there with its last minute and not before."""
    assert (credits_worth(minutes, per_credit), credits_worth(minutes - 1, per_credit)) == (Decimal(1), Decimal("0.99"))


def test_420_minutes_are_seven_hours_of_sixty_minutes() -> None:
    """FSA Handbook 2018-19, vol. 2, p. 2-38 (read in a training deck that quotes it): never 8.4 hours of fifty."""
    assert in_hours(420) == Decimal("7.00")
    assert credits_worth(420, 7) == 1


@given(st.integers(0, 100_000), st.integers(75, 100))
def test_no_credit_is_shown_before_its_hours_are_there(minutes: int, halves: int) -> None:
    """However many half hours a credit is: what is shown, turned back into minutes, is never more than there were."""
    shown = credits_worth(minutes, halves / 2)
    assert shown * halves * 30 <= minutes < (shown + Decimal("0.01")) * halves * 30
