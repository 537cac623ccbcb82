"""Observations written on paper first: what is said of them, and from which day on they still count; pure."""

from __future__ import annotations

from datetime import date, timedelta

from mentor_training.program.catalog import Policy

FROM_PAPER = "From paper"


def remark_from_paper(remark: str, at: str = "") -> str:
    """Return a remark that says first that it stood on paper, and at what time it was written where that is known.

    A rule of this program: what was typed in later is never taken for what was recorded on the spot.
    """
    start = f"{FROM_PAPER}, written at {at}." if at else f"{FROM_PAPER}."
    return f"{start} {remark.strip()}".strip()


def first_day_that_counts(today: date, policy: Policy) -> date:
    """Return the earliest day whose observations still count when they are entered today."""
    return today - timedelta(days=policy.late_after_days)
