"""Recording evidence: a row and its journal entry, in one transaction."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.evidence.facts import HOURS, record_faults
from mentor_training.evidence.queries import record_for
from mentor_training.evidence.tables import Record
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest


def record(
    db: Session,
    at: datetime,
    by: str,
    person: str,
    kind: str,
    item: str,
    first_day: date,
    last_day: date | None = None,
    refers_to: str | None = None,
    note: str = "",
) -> Record:
    """Record one piece of evidence about a volunteer; nothing recorded is ever changed, another record corrects it.

    The journal holds the note's hash and not the note, so that free text about a person can be erased.
    """
    take_turn(db)
    refusals = record_faults(kind, item, first_day, last_day, note, refers_to)
    if refers_to:
        about = record_for(db, refers_to)
        if about.person != person:
            refusals = (*refusals, f"Record {refers_to} is about {about.person}, not about {person}.")
    if refusals:
        raise Refused(*refusals)
    number = (db.scalar(select(func.max(Record.number))) or 0) + 1
    row = Record(
        number=number, code=f"r-{number:04d}", person=person, kind=kind, item=item, first_day=first_day,
        last_day=last_day, recorded_at=at, recorded_by=by, refers_to=refers_to, note=note,
    )  # fmt: skip
    db.add(row)
    db.flush()
    write(db, at, by, kind, person, _for_journal(row))
    return row


def _for_journal(row: Record) -> dict[str, str | None]:
    return {
        "record": row.code,
        "item": row.item,
        "first_day": row.first_day.isoformat(),
        "last_day": row.last_day.isoformat() if row.last_day else None,
        "refers_to": row.refers_to,
        "note": row.note if row.kind == HOURS or not row.note else "sha256:" + digest(row.note),
    }
