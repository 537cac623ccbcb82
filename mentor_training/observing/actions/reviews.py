"""Closing a review."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.queries.reviews import review_for
from mentor_training.observing.tables import Review
from mentor_training.people.permissions import Actor


def close_review(db: Session, at: datetime, by: Actor, number: int, outcome: str) -> Review:
    """Close a review with what was decided; nobody closes one about themselves."""
    take_turn(db)
    row = review_for(db, number)
    db.refresh(row)
    faults = [] if outcome.strip() else ["Write what was decided; it stays with the review."]
    if row.closed_at is not None:
        faults.append(f"Review {number} was closed already, by {row.closed_by}.")
    if by.code == row.person:
        faults.append("Nobody closes a review about themselves.")
    if faults:
        raise Refused(*faults)
    row.closed_at, row.closed_by, row.outcome = at, by.code, outcome.strip()
    written = {"review": number, "skill": row.skill, "outcome": "sha256:" + digest(row.outcome)}
    write(db, at, by.code, "review-closed", row.person, written)
    return row
