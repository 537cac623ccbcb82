"""The newest search for a session's best plan."""

from __future__ import annotations

from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.jobs.queries import newest_of
from mentor_training.jobs.rules import DONE
from mentor_training.jobs.tables import Job
from mentor_training.planning.proposal import Proposal, from_json

KIND = "best-plan"


def key_of(session: str) -> str:
    """Return by what a search is known: one at a time for each session."""
    return f"{KIND}/{session}"


def newest_search(db: Session, session: str) -> Job | None:
    """Return the newest search for a session's plan, whatever came of it."""
    return newest_of(db, key_of(session))


def proposal_for(db: Session, session: str, number: int) -> Proposal:
    """Return what a search for a session's plan found, by its number."""
    row = db.get(Job, number)
    if row is None or row.key != key_of(session) or row.state != DONE:
        raise NotFound(f"proposal {number} for session {session}; it may be too old: look for the plan again")
    return from_json(row.result)
