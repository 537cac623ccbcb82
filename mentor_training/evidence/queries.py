"""Reading evidence, as known at a moment."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.evidence.facts import Fact
from mentor_training.evidence.tables import Record


def as_fact(row: Record) -> Fact:
    """Return a row as a frozen fact."""
    return Fact(
        row.code, row.person, row.kind, row.item, row.first_day, row.last_day,
        row.recorded_at, row.recorded_by, row.refers_to, row.note,
    )  # fmt: skip


def facts_of(db: Session, person: str, known_at: datetime, kinds: Iterable[str] = ()) -> tuple[Fact, ...]:
    """Return one volunteer's records known at a moment, in the order in which they were recorded."""
    query = select(Record).where(Record.person == person, Record.recorded_at <= known_at).order_by(Record.number)
    if kinds:
        query = query.where(Record.kind.in_(tuple(kinds)))
    return tuple(as_fact(row) for row in db.scalars(query))


def facts_by_person(db: Session, known_at: datetime) -> dict[str, tuple[Fact, ...]]:
    """Return everybody's records known at a moment, by volunteer."""
    gathered: dict[str, list[Fact]] = {}
    for row in db.scalars(select(Record).where(Record.recorded_at <= known_at).order_by(Record.number)):
        gathered.setdefault(row.person, []).append(as_fact(row))
    return {person: tuple(facts) for person, facts in gathered.items()}


def record_for(db: Session, code: str) -> Record:
    """Return a record by its code."""
    row = db.scalar(select(Record).where(Record.code == code))
    if row is None:
        raise NotFound(f"record {code}")
    return row
