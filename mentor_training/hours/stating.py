"""Stating hours: what is approved, under a number, frozen as sums and as lines."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.hours.frozen import called_text, hash_of
from mentor_training.hours.lines import pieces_of, rows_of
from mentor_training.hours.queries import ToState, entries_of, open_section, to_state
from mentor_training.hours.rules import rule_in_words
from mentor_training.hours.stated import Heading, body_of
from mentor_training.hours.tables import Statement, StatementLine, StatementPiece
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import head
from mentor_training.people.permissions import Actor


def make_statement(
    db: Session, at: datetime, by: Actor, section: str, through: date, zone: ZoneInfo, program: str = ""
) -> Statement:  # fmt: skip
    """State a section's approved hours up to and including a day under a number, and freeze them.

    Takes what is approved and on no statement yet. `zone` is the program's time zone, `program` what it calls itself.
    """
    take_turn(db)
    open_section(by, section)
    today = day_in(zone, at)
    if through > today:
        raise Refused(f"{through} is still ahead; state hours through today, {today}, or an earlier day.")
    ready = to_state(db, section, through, at, zone)
    if not ready.entries:
        raise Refused(_nothing_to_state(section, through, ready.waiting))
    heading = Heading(_next_number(db, today.year), section, ready.course.code, through, ready.rounding)
    codes = (by.code, *(one.approved_by for one in ready.entries))
    return _store(db, at, by, heading, ready, zone, called_text(db, codes, program, zone))


def _nothing_to_state(section: str, through: date, waiting: int) -> str:
    more = f" {'1 entry waits' if waiting == 1 else f'{waiting} entries wait'} for approval." if waiting else ""
    return f"There is nothing to state for {section} through {through}: nothing approved is left.{more}"


def _next_number(db: Session, year: int) -> str:
    made = db.scalar(select(func.count()).select_from(Statement).where(Statement.number.like(f"ST-{year}-%")))
    return f"ST-{year}-{(made or 0) + 1:04d}"


def _store(
    db: Session, at: datetime, by: Actor, heading: Heading, ready: ToState, zone: ZoneInfo, called: str
) -> Statement:  # fmt: skip
    body = body_of(heading, ready.sums)
    pieces = tuple(pieces_of(rows_of(heading.number, ready.entries, ready.names, _stated_on(db, ready), zone)))
    row = Statement(
        number=heading.number, section=heading.section, course=heading.course, made_at=at, made_by=by.code,
        through=heading.through, rule=rule_in_words(heading.rounding), body=body, hash=digest(body),
        journal_head=head(db), lines_hash=hash_of(pieces), called=called,
    )  # fmt: skip
    db.add(row)
    db.flush()
    db.add_all(StatementLine(entry=one.id, statement=row.number) for one in ready.entries)
    db.add_all(StatementPiece(statement=row.number, place=place, text=text) for place, text in enumerate(pieces))
    db.flush()
    write(db, at, by.code, "statement", row.number, _told(row, ready))
    return row


def _stated_on(db: Session, ready: ToState) -> dict[int, str]:
    """Return on which statement each entry stands that a line of the new one corrects."""
    people = sorted({one.person for one in ready.entries if one.corrects})
    return {one.id: one.statement for one in entries_of(db, people) if one.statement}


def _told(row: Statement, ready: ToState) -> dict[str, str | int]:
    return {
        "section": row.section, "through": row.through.isoformat(), "entries": len(ready.entries),
        "still_waiting": ready.waiting, "minutes": sum(one.minutes for one in ready.sums), "hash": row.hash,
        "lines_hash": row.lines_hash, "called_hash": digest(row.called), "journal_head": row.journal_head,
    }  # fmt: skip
