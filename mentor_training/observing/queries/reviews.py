"""Reviews: opened by a stop, by a critical criterion missed after a sign-off, or for an incident; with their steps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.observing.queries.strikes import struck_observations
from mentor_training.observing.rules.results import MET
from mentor_training.observing.rules.reviews import ENDS, Again, Progress, Step, progress
from mentor_training.observing.tables import Incident, Observation, Review, ReviewStep
from mentor_training.people.permissions import COURSE_INSTRUCTOR, OBSERVER, Act, Actor
from mentor_training.people.queries import people
from mentor_training.people.tables import Person


@dataclass(frozen=True)
class ReviewFile:
    """A review with what was done about it, in order, and how it stands."""

    review: Review
    steps: tuple[ReviewStep, ...]
    progress: Progress

    @property
    def end(self) -> ReviewStep | None:
        """Return the step that closed it, if it is closed."""
        return next((step for step in self.steps if step.kind in ENDS), None)


def review_for(db: Session, viewer: Actor, number: int) -> Review:
    """Return a review by its number: for the coordinator any, for others one that is assigned to them now."""
    row = db.get(Review, number)
    if row is None:
        raise NotFound(f"review {number}")
    if not viewer.may(Act.REVIEW) and file_of(db, row).progress.assignee != viewer.code:
        raise NotAllowed("a review that is not assigned to you")
    return row


def file_of(db: Session, row: Review) -> ReviewFile:
    """Return a review with its steps."""
    return _files(db, [row])[0]


def open_files(db: Session, viewer: Actor) -> list[ReviewFile]:
    """Return the reviews that wait, oldest first: for the coordinator all, for others those assigned to them."""
    files = [one for one in _files(db, db.scalars(select(Review).order_by(Review.id))) if one.progress.is_open]
    return [one for one in files if viewer.may(Act.REVIEW) or one.progress.assignee == viewer.code]


def open_reviews(db: Session) -> list[Review]:
    """Return the reviews that wait for the coordinator, oldest first."""
    ended = select(ReviewStep.review).where(ReviewStep.kind.in_(ENDS))
    return list(db.scalars(select(Review).where(Review.id.not_in(ended)).order_by(Review.id)))


def closed_files(db: Session, most: int = 50) -> list[ReviewFile]:
    """Return the reviews that were closed, those closed last first."""
    query = select(Review).join(ReviewStep, ReviewStep.review == Review.id).where(ReviewStep.kind.in_(ENDS))
    return _files(db, db.scalars(query.order_by(ReviewStep.number.desc()).limit(most)))


def review_of(db: Session, observation: int) -> Review | None:
    """Return the review that an observation opened, if it did."""
    return db.scalar(select(Review).where(Review.observation == observation))


def reviews_of_incident(db: Session, incident: int) -> list[ReviewFile]:
    """Return the reviews that were opened for an incident."""
    return _files(db, db.scalars(select(Review).where(Review.incident == incident).order_by(Review.id)))


def has_open_review(db: Session, person: str, skill: str) -> bool:
    """Say whether a review of a volunteer's skill waits still."""
    return any((row.person, row.skill) == (person, skill) for row in open_reviews(db))


def day_of(db: Session, row: Review) -> date:
    """Return the day of what a review is about."""
    if row.observation is not None:
        return db.get_one(Observation, row.observation).day
    return db.get_one(Incident, row.incident).day


def station_of(db: Session, row: Review) -> str:
    """Return the station of what a review is about; empty where none was named."""
    if row.observation is not None:
        return db.get_one(Observation, row.observation).station
    return db.get_one(Incident, row.incident).station


def again_of(db: Session, row: Review, number: int) -> Again:
    """Return an observation as one that could answer a review."""
    seen = db.get(Observation, number)
    if seen is None:
        raise NotFound(f"observation {number}")
    return Again(
        seen.id, seen.person, seen.skill, seen.day, seen.result, seen.id in struck_observations(db),
        _entered_after(row, seen),
    )  # fmt: skip


def answers_to(db: Session, row: Review, known_at: datetime) -> list[Observation]:
    """Return the met observations entered since that could answer a review, newest first."""
    query = select(Observation).where(
        Observation.person == row.person, Observation.result == MET, Observation.recorded_at <= known_at
    )
    if row.skill:
        query = query.where(Observation.skill == row.skill)
    struck, since = struck_observations(db), day_of(db, row)
    rows = db.scalars(query.order_by(Observation.id.desc()))
    return [one for one in rows if one.id not in struck and one.day >= since and _entered_after(row, one)]


def reviewers(db: Session) -> list[Person]:
    """Return to whom a review can be assigned: observers and course instructors."""
    return [row for row in people(db) if {OBSERVER, COURSE_INSTRUCTOR} & set(row.roles)]


def _entered_after(row: Review, seen: Observation) -> bool:
    """Say whether an observation is newer than what opened a review; of one moment, the order of entry decides."""
    return seen.recorded_at >= row.opened_at and (row.observation is None or seen.id > row.observation)


def _files(db: Session, rows: Iterable[Review]) -> list[ReviewFile]:
    found = list(rows)
    steps: dict[int, list[ReviewStep]] = {row.id: [] for row in found}
    query = select(ReviewStep).where(ReviewStep.review.in_(steps)).order_by(ReviewStep.number)
    for step in db.scalars(query):
        steps[step.review].append(step)
    return [ReviewFile(row, tuple(steps[row.id]), progress(map(_step, steps[row.id]))) for row in found]


def _step(row: ReviewStep) -> Step:
    return Step(row.number, row.kind, row.assignee, row.observation, row.record or "")
