"""Observations that were struck: kept and shown, and no longer counted."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.observing.tables import SignOff, Strike


def struck_observations(db: Session, known_at: datetime | None = None) -> dict[int, Strike]:
    """Return what was struck, by observation: all of it, or what was known at a moment."""
    query = select(Strike)
    if known_at is not None:
        query = query.where(Strike.struck_at <= known_at)
    return {row.observation: row for row in db.scalars(query)}


def sign_offs_resting_on(db: Session, person: str, observation: int) -> list[SignOff]:
    """Return the sign-offs of a volunteer that rest on an observation."""
    rows = db.scalars(select(SignOff).where(SignOff.person == person))
    return [row for row in rows if str(observation) in row.observations]
