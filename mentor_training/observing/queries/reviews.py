"""Reviews: opened by a stop, or by a critical criterion missed after a sign-off."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.observing.tables import Review


def review_for(db: Session, number: int) -> Review:
    """Return a review by its number."""
    row = db.get(Review, number)
    if row is None:
        raise NotFound(f"review {number}")
    return row


def open_reviews(db: Session) -> list[Review]:
    """Return the reviews that wait for the coordinator, oldest first."""
    return list(db.scalars(select(Review).where(Review.closed_at.is_(None)).order_by(Review.id)))


def closed_reviews(db: Session, most: int = 50) -> list[Review]:
    """Return the reviews that were closed, newest first."""
    query = select(Review).where(Review.closed_at.is_not(None)).order_by(Review.closed_at.desc(), Review.id.desc())
    return list(db.scalars(query.limit(most)))


def review_of(db: Session, observation: int) -> Review | None:
    """Return the review that an observation opened, if it did."""
    return db.scalar(select(Review).where(Review.observation == observation))
