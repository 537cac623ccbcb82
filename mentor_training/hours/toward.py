"""Toward a course's requirement: what is done, what is coming, what is missing, by when; and credit; pure."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

HOURS_PER_CREDIT = 45.0


def credits_worth(minutes: int, hours_per_credit: float = HOURS_PER_CREDIT) -> Decimal:
    """Return how many credits so much work corresponds to, at so many hours each, cut to two decimals.

    34 CFR 600.2: an hour of class and two of other work, a week, for about fifteen weeks, which is 45 hours; a course
    may set another number. An hour has 60 minutes: 420 are 7 hours and not 8.4. Cut and not rounded, so that 134 h 59
    min are 2.99 credits and never 3.
    """
    hundredths = Fraction(max(0, minutes)) * 100 / (60 * Fraction(str(hours_per_credit)))
    return Decimal(int(hundredths)) / 100 + Decimal("0.00")
