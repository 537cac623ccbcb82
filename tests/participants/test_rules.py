"""Which profile and card count, and who may see them when."""

from __future__ import annotations

from datetime import date

import pytest

from mentor_training.participants.rules import CardFact, ProfileFact, card_faults, card_on, may_see, profile_on

SESSION = date(2026, 10, 17)


def card(version: int, first_day: str, review_by: str = "2027-06-30", text: str = "Walk beside.") -> CardFact:
    return CardFact("p-01", version, date.fromisoformat(first_day), date.fromisoformat(review_by), text)


def test_the_card_in_force_is_the_latest_version_that_has_begun() -> None:
    """A version written ahead counts from its first day on, and no day earlier."""
    cards = [card(1, "2026-02-05"), card(2, "2026-09-10"), card(3, "2026-10-20")]
    answers = {day: card_on(cards, date.fromisoformat(day)) for day in ("2026-02-04", "2026-09-10", "2026-10-20")}
    assert [found and found.version for found in answers.values()] == [None, 2, 3]


def test_a_card_is_overdue_from_the_day_after_its_review_day() -> None:
    """The review day itself is still in time."""
    assert [card(1, "2026-01-01", "2026-10-17").is_overdue(day) for day in (SESSION, date(2026, 10, 18))] == [
        False,
        True,
    ]


def test_the_profile_in_force_is_the_last_recorded_that_has_begun() -> None:
    """What an instance starts with counts from the beginning, what comes later from its own day."""
    first, later = ProfileFact(1, ("fall-risk",), (), ()), ProfileFact(2, (), ("v-001",), (), date(2026, 10, 16))
    assert profile_on([first, later], date(2026, 10, 15)) == first
    assert profile_on([first, later], date(2026, 10, 16)) == later
    assert profile_on([], SESSION) is None


@pytest.mark.parametrize(
    ("today", "seen"),
    [("2026-10-14", False), ("2026-10-15", True), ("2026-10-17", True), ("2026-10-18", False)],
)
def test_a_participant_is_seen_from_two_days_before_the_session_to_the_end_of_its_day(today: str, seen: bool) -> None:
    """Both ends are inclusive."""
    assert may_see([SESSION], date.fromisoformat(today)) is seen


def test_who_is_paired_for_no_session_sees_nothing() -> None:
    """No session, no look."""
    assert not may_see([], SESSION)


@pytest.mark.parametrize(
    ("new", "detail"),
    [
        (card(3, "2026-10-20", "2026-10-19"), "review_by"),
        (card(3, "2026-09-09"), "first_day"),
        (card(1, "2026-09-11"), "first_day"),
        (card(3, "2026-10-20", text=""), "text"),
        (card(3, "2026-10-20", "9999-12-31"), "review_by"),
        (card(1, "1066-10-14"), "first_day"),
    ],
)
def test_a_card_version_must_fit_between_the_others(new: CardFact, detail: str) -> None:
    """Later versions begin no earlier, the review comes after the first day and some day, and a card says something."""
    assert [fault.detail for fault in card_faults(new, [card(2, "2026-09-10")])] == [detail]
