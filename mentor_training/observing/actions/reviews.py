"""Opening a review, and what is done about it step by step; each step is a row of its own and none is changed."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.queries.reviews import ReviewFile, again_of, day_of, file_of, review_for, reviewers
from mentor_training.observing.rules.reviews import (
    ASSIGNED,
    CLOSED,
    PLANNED,
    RELEASED,
    SEEN_AGAIN,
    STOOD_DOWN,
    objections_to_answer,
    objections_to_release,
    objections_to_working,
)
from mentor_training.observing.tables import Review, ReviewStep
from mentor_training.people.permissions import Act, Actor

LONGEST_TEXT = 2000


def open_review(
    db: Session, at: datetime, by: Actor, person: str, skill: str, observation: int | None = None,
    incident: int | None = None,
) -> Review:  # fmt: skip
    """Open a review of a volunteer, about an observation or an incident."""
    row = Review(person=person, skill=skill, observation=observation, incident=incident, opened_at=at)
    db.add(row)
    db.flush()
    about = {"observation": observation} if observation is not None else {"incident": incident}
    write(db, at, by.code, "review-opened", person, {"review": row.id, "skill": skill, **about})
    return row


def assign(db: Session, at: datetime, by: Actor, number: int, to: str) -> ReviewStep:
    """Assign a review to an observer or a course instructor, who then sees it and may work on it."""
    row, _ = _workable(db, by, number, Act.REVIEW)
    faults = []
    if to not in {one.code for one in reviewers(db)}:
        faults.append(f"{to} is neither an observer nor a course instructor.")
    if to == row.person:
        faults.append("Nobody works on or closes a review about themselves.")
    if faults:
        raise Refused(*faults)
    return _store(db, at, by, row, ASSIGNED, assignee=to)


def plan_again(db: Session, at: datetime, by: Actor, number: int, text: str) -> ReviewStep:
    """Record what has to be shown again; a new plan replaces the one before, which stays."""
    row, _ = _workable(db, by, number, Act.WORK_ON_REVIEW)
    _refuse_text(text, "Write what has to be shown again, and how.")
    return _store(db, at, by, row, PLANNED, text=text.strip())


def answer(db: Session, at: datetime, by: Actor, number: int, observation: int) -> ReviewStep:
    """Record which observation showed again what had to be."""
    row, found = _workable(db, by, number, Act.WORK_ON_REVIEW)
    again = again_of(db, row, observation)
    faults = objections_to_answer(found.progress, row.person, row.skill, day_of(db, row), again)
    if faults:
        raise Refused(*faults)
    return _store(db, at, by, row, SEEN_AGAIN, observation=observation)


def note_stand_down(db: Session, at: datetime, by: Actor, number: int, record: str) -> ReviewStep:
    """Record that a volunteer was stood down for a review, by which record."""
    row, _ = _workable(db, by, number, Act.REVIEW)
    return _store(db, at, by, row, STOOD_DOWN, record=record)


def note_release(db: Session, at: datetime, by: Actor, number: int, outcome: str) -> ReviewStep:
    """Close a review by releasing the volunteer: only once shown again what had to be, if anything had."""
    row, found = _workable(db, by, number, Act.REVIEW)
    faults = objections_to_release(found.progress)
    if faults:
        raise Refused(*faults)
    _refuse_text(outcome, "Write what was decided; it stays with the review.")
    return _store(db, at, by, row, RELEASED, text=outcome.strip())


def close_review(db: Session, at: datetime, by: Actor, number: int, outcome: str) -> ReviewStep:
    """Close a review with what was decided; a stand-down that stands goes on standing."""
    row, _ = _workable(db, by, number, Act.REVIEW)
    _refuse_text(outcome, "Write what was decided; it stays with the review.")
    return _store(db, at, by, row, CLOSED, text=outcome.strip())


def _workable(db: Session, by: Actor, number: int, act: Act) -> tuple[Review, ReviewFile]:
    """Return a review that somebody may do something about, or refuse."""
    take_turn(db)
    if not by.may(act):
        raise NotAllowed(act.value)
    row = review_for(db, by, number)
    found = file_of(db, row)
    faults = objections_to_working(number, found.progress, row.person, by.code)
    if faults:
        raise Refused(*faults)
    return row, found


def _refuse_text(text: str, empty: str) -> None:
    if not text.strip():
        raise Refused(empty)
    if len(text) > LONGEST_TEXT:
        raise Refused(f"That has {len(text)} characters; {LONGEST_TEXT} are the most.")


def _store(
    db: Session, at: datetime, by: Actor, review: Review, kind: str, assignee: str = "",
    observation: int | None = None, record: str | None = None, text: str = "",
) -> ReviewStep:  # fmt: skip
    number = (db.scalar(select(func.max(ReviewStep.number))) or 0) + 1
    row = ReviewStep(
        number=number, review=review.id, kind=kind, assignee=assignee, observation=observation, record=record,
        text=text, recorded_at=at, recorded_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    told = {"assignee": assignee, "observation": observation, "record": record}
    written = {"review": review.id, "step": number, **{key: value for key, value in told.items() if value}}
    if text:
        written["text"] = "sha256:" + digest(text)
    write(db, at, by.code, f"review-{kind}", review.person, written)
    return row
