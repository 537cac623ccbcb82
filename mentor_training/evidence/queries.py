"""Reading evidence, as known at a moment."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from itertools import islice
from typing import cast

from sqlalchemy import String, case, func, select, type_coerce
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.errors import NotFound
from mentor_training.evidence.facts import HOURS, Fact
from mentor_training.evidence.tables import Record
from mentor_training.journal.tables import JournalEntry

AT_ONCE = 500
_LAST_NUMBER = select(func.max(table_of(Record).c.number))
Said = tuple[str, str, str, date | str, date | str | None, str]
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
    return facts_of_kinds(db, known_at, ())


def facts_of_kinds(db: Session, known_at: datetime, kinds: Iterable[str]) -> dict[str, tuple[Fact, ...]]:
    """Return everybody's records of some kinds known at a moment, by volunteer; with no kind named, of all."""
    wanted, gathered = tuple(kinds), dict[str, list[Fact]]()
    query = select(*OF_A_FACT).where(Record.recorded_at <= known_at).order_by(Record.number)
    for row in db.execute(query.where(Record.kind.in_(wanted)) if wanted else query):
        fact = Fact(*tuple(row))
        gathered.setdefault(fact.person, []).append(fact)
    return {person: tuple(facts) for person, facts in gathered.items()}


def every_fact(db: Session) -> Iterator[Fact]:
    """Yield every record in the order of the register, a few thousand at a time."""
    query = select(*OF_A_FACT).order_by(Record.number).execution_options(yield_per=2000)
    return (Fact(*tuple(row)) for row in db.execute(query))


def facts_named(db: Session, codes: Iterable[str]) -> dict[str, Fact]:
    """Return those of the named records that there are, by name, whenever they were recorded."""
    found: dict[str, Fact] = {}
    left = iter(codes)
    while piece := list(islice(left, AT_ONCE)):
        rows = db.execute(select(*OF_A_FACT).where(Record.code.in_(piece)))
        found.update((row[0], Fact(*tuple(row))) for row in rows)
    return found


def facts_about(db: Session, people: Iterable[str]) -> Iterator[Fact]:
    """Yield the records about some people in the order of the register, whenever they were recorded."""
    left = iter(people)
    while piece := list(islice(left, AT_ONCE)):
        for row in db.execute(select(*OF_A_FACT).where(Record.person.in_(piece)).order_by(Record.number)):
            yield Fact(*tuple(row))


def said_by_all(db: Session, known_at: datetime) -> Iterator[Said]:
    """Yield what each record known at a moment says: person, kind, item, first day, last day, minutes.

    Hundreds of thousands of rows say few different days, so days are as the database has them, a text or a date; and
    the rows are those of the driver itself, which costs half as much as rows with names.
    """
    of = Record.__table__.c
    minutes = case((of.kind == HOURS, of.note), else_="")
    days = (type_coerce(of.first_day, String), type_coerce(of.last_day, String))
    query = select(of.person, of.kind, of.item, *days, minutes).where(of.recorded_at <= known_at)
    with db.connection().execute(query) as result:
        yield from cast(Iterator[Said], result.cursor)


def recorded_after(db: Session, known_at: datetime) -> set[str]:
    """Return about whom anything was recorded later than a moment.

    Without DISTINCT, for which SQLite would walk all records by person instead of the few last ones by their moment.
    """
    return set(db.scalars(select(Record.person).where(Record.recorded_at > known_at)))


def numbered_after(db: Session, number: int) -> set[str]:
    """Return about whom there are records of higher numbers than one; without DISTINCT, as above."""
    return set(db.scalars(select(Record.person).where(Record.number > number)))


def how_many(db: Session) -> int:
    """Return how many records there are."""
    return db.scalar(select(func.count()).select_from(Record)) or 0


def made_by_oneself(db: Session, person: str, kind: str) -> set[str]:
    """Return the names of the records of a kind that somebody made about themselves, as the journal has it.

    A record that came in with the register may name them as well, but somebody else brought it.
    """
    own = (JournalEntry.kind == kind, JournalEntry.subject == person, JournalEntry.who == person)
    return {json.loads(record)["record"] for record in db.scalars(select(JournalEntry.record).where(*own))}


def last_number(db: Session) -> int:
    """Return the number of the newest record; 0 where there is none."""
    return run(db, _LAST_NUMBER).scalar() or 0


def record_for(db: Session, code: str) -> Record:
    """Return a record by its code."""
    row = db.scalar(select(Record).where(Record.code == code))
    if row is None:
        raise NotFound(f"record {code}")
    return row
