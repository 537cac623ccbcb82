"""What is stated of one volunteer, from frozen statements alone: no edition of the program is asked."""

from __future__ import annotations

from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import terms
from mentor_training.errors import NotAllowed, Refused
from mentor_training.hours.stated import sums_in
from mentor_training.hours.tables import HoursEntry, Statement, StatementLine
from mentor_training.journal.chain import digest
from mentor_training.letters.rules import HoursLetter, OnStatement, Stated, letter_faults, term_sums
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.queries import people, person_for
from mentor_training.people.tables import Person


def letter_person(db: Session, viewer: Actor, code: str) -> Person:
    """Return whose letter a viewer may have made: one's own, for the coordinator everybody's."""
    if viewer.code != code and COORDINATOR not in viewer.roles:
        raise NotAllowed("another person's letter of hours")
    return person_for(db, code)


def hours_letter(db: Session, row: Person) -> HoursLetter:
    """Return what a letter of hours says; refused where nothing is stated, or a statement does not prove itself."""
    entries, statements = _stated(db, row.code), _statements(db, row.code)
    if not statements:
        raise Refused(f"No statement says anything of {row.name} ({row.code}) yet; a letter says what was stated.")
    faults = letter_faults(entries, statements)
    if faults:
        raise Refused(*faults, "No letter is made of it: look at the journal with `journal verify`.")
    days = [one.day for one in entries]
    return HoursLetter(row.code, row.name, min(days), max(days), term_sums(entries, terms(db)), statements)


def people_stated(db: Session) -> list[Person]:
    """Return everybody of whom some statement says something, whatever they are today, in the order of their names."""
    codes = set(db.scalars(select(HoursEntry.person).join(StatementLine, StatementLine.entry == HoursEntry.id)))
    return sorted((row for row in people(db) if row.code in codes), key=lambda row: (row.name, row.code))


def has_stated(db: Session, code: str) -> bool:
    """Say whether some statement says something of a person."""
    query = select(HoursEntry.id).join(StatementLine, StatementLine.entry == HoursEntry.id)
    return db.scalar(query.where(HoursEntry.person == code).limit(1)) is not None


def _stated(db: Session, code: str) -> tuple[Stated, ...]:
    query = (
        select(StatementLine.statement, HoursEntry.day, HoursEntry.category, HoursEntry.minutes)
        .join(HoursEntry, HoursEntry.id == StatementLine.entry)
        .where(HoursEntry.person == code)
        .order_by(HoursEntry.day, HoursEntry.id)
    )
    return tuple(Stated(*row) for row in db.execute(query))


def _statements(db: Session, code: str) -> tuple[OnStatement, ...]:
    of_person = (
        select(StatementLine.statement)
        .join(HoursEntry, HoursEntry.id == StatementLine.entry)
        .where(HoursEntry.person == code)
    )
    rows = db.scalars(
        select(Statement).where(Statement.number.in_(of_person)).order_by(Statement.made_at, Statement.number)
    )
    return tuple(_on_statement(row, code) for row in rows)


def _on_statement(row: Statement, code: str) -> OnStatement:
    mine = [one for one in sums_in(row.body) if one.person == code]
    return OnStatement(
        row.number, row.section, row.course, row.through, row.made_at, row.rule, row.hash,
        mine[0].name if mine else "", sum(one.minutes for one in mine),
        sum((one.stated for one in mine), Decimal("0.00")), digest(row.body) == row.hash,
    )  # fmt: skip
