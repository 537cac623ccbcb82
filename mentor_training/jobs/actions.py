"""Asking for a job, stopping it, taking it, keeping it, ending it, clearing it.

A job decides nothing about anybody, and so the journal does not know of it: what it stores it stores by acts, and each
of these writes its entry.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, and_, delete, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from mentor_training.database.session import Ran, run
from mentor_training.jobs.queries import is_due, open_of, standing_of
from mentor_training.jobs.rules import (
    FAILED,
    LEASE,
    OPEN,
    RUNNING,
    STOPPED,
    WAITING,
    Step,
    given_up,
    is_cleared_before,
    next_step,
)
from mentor_training.jobs.tables import Job


class Lost(Exception):
    """The job is no longer this worker's: another has taken it up, or it was handed back."""


@dataclass(frozen=True)
class Ticket:
    """What shows that a job is one's own: who has it, and at which attempt."""

    number: int
    worker: str
    attempt: int


@dataclass(frozen=True)
class Taken:
    """A job that was taken."""

    ticket: Ticket
    kind: str
    arguments: Mapping[str, Any]
    asked_by: str


def enqueue(db: Session, at: datetime, by: str, kind: str, arguments: Mapping[str, Any], key: str) -> Job:
    """Ask for a job, in the caller's transaction: it is there once that is committed, and else never was.

    Where one of the same key waits or runs, that one is returned. `at` is the program's clock. Arguments are codes and
    figures.
    """
    found = open_of(db, key)
    if found:
        return found
    row = Job(
        kind=kind, key=key, open_key=key, arguments=dict(arguments), asked_by=by, asked_at=at, state=WAITING, words="",
    )  # fmt: skip
    try:
        with db.begin_nested():
            db.add(row)
    except IntegrityError:  # somebody else has asked in the same moment
        return enqueue(db, at, by, kind, arguments, key)
    return row


def wish_stop(db: Session, at: datetime, job: Job) -> None:
    """Have a job stop as soon as it can; one that nobody has begun ends at once. `at` is the machine's clock."""
    db.refresh(job, with_for_update=True)
    job.stop_wished = job.state in OPEN
    if job.state == WAITING:
        _end_row(job, at, STOPPED, None)
    db.flush()


def take(db: Session, at: datetime, worker: str, kinds: Collection[str]) -> Taken | None:
    """Take the oldest job that is due, or None; what was begun too often is given up on the way.

    On SQLite the writer is alone from its BEGIN IMMEDIATE on; on PostgreSQL what another worker looks at is skipped.
    """
    query = select(Job).where(is_due(at, kinds)).order_by(Job.number).limit(1).with_for_update(skip_locked=True)
    while (row := db.scalar(query)) is not None:
        step = next_step(standing_of(row), at)
        if step == Step.TAKE:
            return _taken(db, at, worker, row)
        if step == Step.END_STOPPED:
            _end_row(row, at, STOPPED, None)
        else:
            _end_row(row, at, FAILED, [given_up(row.attempts)])
        db.flush()
    return None


def _taken(db: Session, at: datetime, worker: str, row: Job) -> Taken:
    row.state, row.worker, row.attempts = RUNNING, worker, row.attempts + 1
    row.begun_at = row.beat_at = at
    row.lease_until = at + LEASE
    row.done = row.total = 0
    row.words = ""
    db.flush()
    return Taken(Ticket(row.number, worker, row.attempts), row.kind, row.arguments, row.asked_by)


def _end_row(row: Job, at: datetime, state: str, result: Any) -> None:
    row.state, row.open_key, row.lease_until = state, None, None
    row.ended_at, row.result = at, result


def beat(db: Session, at: datetime, ticket: Ticket, done: int, total: int, words: str) -> bool:
    """Say that a job's worker lives and how far it is; return whether somebody wishes it to stop."""
    told = {"beat_at": at, "lease_until": at + LEASE, "done": done, "total": total, "words": words}
    _must_be_ours(run(db, update(Job).where(_is_ours(ticket)).values(**told)), ticket)
    return bool(db.scalar(select(Job.stop_wished).where(Job.number == ticket.number)))


def hold(db: Session, ticket: Ticket) -> None:
    """Keep a job one's own until this transaction ends; refused where it no longer is."""
    found = db.scalar(select(Job.number).where(_is_ours(ticket)).with_for_update())
    if found is None:
        raise Lost(ticket)


def end(db: Session, at: datetime, ticket: Ticket, state: str, result: Any, words: str = "") -> None:
    """End a job with what came of it: a result, or the reasons; `words` are the steps that were said."""
    ended = {
        "state": state, "open_key": None, "lease_until": None, "ended_at": at, "result": result, "words": words,
    }  # fmt: skip
    _must_be_ours(run(db, update(Job).where(_is_ours(ticket)).values(**ended)), ticket)


def rest(db: Session, at: datetime, ticket: Ticket, how_long: timedelta) -> None:
    """Leave a job in which the program failed until it may be taken up again."""
    _must_be_ours(run(db, update(Job).where(_is_ours(ticket)).values(lease_until=at + how_long)), ticket)


def hand_back(db: Session, ticket: Ticket) -> None:
    """Let a job wait again as though it had not been begun, for a worker that is told to end; nothing if it is lost."""
    again = {"state": WAITING, "worker": "", "lease_until": None, "attempts": ticket.attempt - 1, "words": ""}
    run(db, update(Job).where(_is_ours(ticket)).values(**again))


def clear_old(db: Session, at: datetime) -> int:
    """Delete the jobs that ended long enough ago; return how many."""
    return run(db, delete(Job).where(Job.ended_at < is_cleared_before(at))).rowcount


def _is_ours(ticket: Ticket) -> ColumnElement[bool]:
    return and_(
        Job.number == ticket.number, Job.state == RUNNING, Job.worker == ticket.worker, Job.attempts == ticket.attempt
    )


def _must_be_ours(changed: Ran, ticket: Ticket) -> None:
    if not changed.rowcount:
        raise Lost(ticket)
