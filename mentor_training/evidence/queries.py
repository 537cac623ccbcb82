"""Reading evidence, as known at a moment."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.evidence.facts import Fact
from mentor_training.evidence.tables import Record

# Columns and not whole rows, in the order of a fact's fields: a decision reads a hundred of them for each volunteer.
OF_A_FACT = (
    Record.code, Record.person, Record.kind, Record.item, Record.first_day, Record.last_day,
    Record.recorded_at, Record.recorded_by, Record.refers_to, Record.note,
)  # fmt: skip


def as_fact(row: Record) -> Fact:
    """Return a row as a frozen fact."""
    return Fact(
        row.code, row.person, row.kind, row.item, row.first_day, row.last_day,
        row.recorded_at, row.recorded_by, row.refers_to, row.note,
    )  # fmt: skip


def facts_of(db: Session, person: str, known_at: datetime, kinds: Iterable[str] = ()) -> tuple[Fact, ...]:
    """Return one volunteer's records known at a moment, in the order in which they were recorded."""
    query = select(*OF_A_FACT).where(Record.person == person, Record.recorded_at <= known_at).order_by(Record.number)
    if kinds:
        query = query.where(Record.kind.in_(tuple(kinds)))
    return tuple(Fact(*tuple(row)) for row in db.execute(query))


def facts_by_person(db: Session, known_at: datetime) -> dict[str, tuple[Fact, ...]]:
    """Return everybody's records known at a moment, by volunteer."""
    gathered: dict[str, list[Fact]] = {}
    for row in db.execute(select(*OF_A_FACT).where(Record.recorded_at <= known_at).order_by(Record.number)):
        fact = Fact(*tuple(row))
        gathered.setdefault(fact.person, []).append(fact)
    return {person: tuple(facts) for person, facts in gathered.items()}


def record_for(db: Session, code: str) -> Record:
    """Return a record by its code."""
    row = db.scalar(select(Record).where(Record.code == code))
    if row is None:
        raise NotFound(f"record {code}")
    return row
