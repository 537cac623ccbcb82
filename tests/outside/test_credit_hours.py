"""Credit for hours against the federal definition and what published handbooks print.

34 CFR 600.2, credit hour, as in force since 1 July 2021 (read in a college's regulation page that quotes it); clock
hour in the FSA Handbook 2018-19, vol. 2, p. 2-38 (read in a training deck that quotes it). The handbooks' own pages
were read in excerpts.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from mentor_training.hours.rules import in_hours
from mentor_training.hours.toward import HOURS_PER_CREDIT, credits_worth


def test_an_hour_of_class_and_two_of_other_work_for_fifteen_weeks_are_the_default() -> None:
    """34 CFR 600.2: 3 hours a week for 15 weeks are 45 (own arithmetic)."""
    assert HOURS_PER_CREDIT == (1 + 2) * 15


@pytest.mark.parametrize(
    ("hours", "worth"),
    [(45, "1.00"), (135, "3.00"), (270, "6.00")],
    ids=["UW-Madison KINES 690", "Penn State Harrisburg KINES 495C, 3 credits", "the same, 6 credits"],
)
def test_published_practicum_hours_give_their_published_credits(hours: int, worth: str) -> None:
    """And a minute less does not."""
    assert credits_worth(hours * 60) == Decimal(worth)
    assert credits_worth(hours * 60 - 1) == Decimal(worth) - Decimal("0.01")


def test_forty_hours_a_credit_come_to_the_twelve_credits_of_480_hours() -> None:
    """URI KIN 484: 12 credits for 32 hours a week, 15 weeks assumed (own arithmetic)."""
    assert credits_worth(32 * 15 * 60, 40) == 12


def test_420_minutes_are_seven_hours_and_never_8_4() -> None:
    """Seven 60-minute periods may not count for more than seven clock hours, though one may hold 50 minutes."""
    assert in_hours(420) == Decimal("7.00") != Decimal("8.40")
