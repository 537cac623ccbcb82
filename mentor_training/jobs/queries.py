"""Reading jobs: one by its number, the newest of a key, those that somebody sees."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import ColumnElement, and_, or_, select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.jobs.rules import RUNNING, WAITING, Standing, may_be_seen
from mentor_training.jobs.tables import Job


def job_for(db: Session, number: int, who: str, sees_all: bool) -> Job:
    """Return a job that somebody may see; to all others there is none."""
    row = db.get(Job, number, populate_existing=True)
    if row is None or not may_be_seen(row.asked_by, who, sees_all):
        raise NotFound(f"job {number}; one that has ended is kept for a while and then cleared")
    return row


def newest_of(db: Session, key: str) -> Job | None:
    """Return the newest job of a key, open or ended."""
    return db.scalar(select(Job).where(Job.key == key).order_by(Job.number.desc()).limit(1))


def open_of(db: Session, key: str) -> Job | None:
    """Return the open job of a key."""
    return db.scalar(select(Job).where(Job.open_key == key))


def seen_jobs(db: Session, who: str, sees_all: bool, most: int = 50) -> list[Job]:
    """Return the newest jobs that somebody sees, newest first."""
    query = select(Job).order_by(Job.number.desc()).limit(most)
    return list(db.scalars(query if sees_all else query.where(Job.asked_by == who)))


def standing_of(row: Job) -> Standing:
    """Return how a job stands, for the rules."""
    return Standing(row.state, row.attempts, row.lease_until, row.stop_wished)


def is_due(at: datetime, kinds: Collection[str]) -> ColumnElement[bool]:
    """Return the condition that a job of these kinds waits, or its worker's lease is over."""
    over = and_(Job.state == RUNNING, Job.lease_until < at)
    return and_(Job.kind.in_(kinds), or_(Job.state == WAITING, over))


def anything_due(db: Session, at: datetime, kinds: Collection[str]) -> bool:
    """Say whether there is something to do; asked by a reader, so that looking keeps no writer waiting."""
    return db.scalar(select(Job.number).where(is_due(at, kinds)).limit(1)) is not None
