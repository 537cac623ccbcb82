"""Putting papers on file, verifying and declining them. A waiver is the clearance's business, not this room's."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import ON_FILE
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.papers.queries import VERIFIED, WAITING, entry_for, papers_of
from mentor_training.papers.rules import date_faults
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.permissions import Act, Actor
from mentor_training.people.queries import volunteer_for
from mentor_training.program.queries import require_edition

LONGEST_REASON = 500


def put_on_file(
    db: Session,
    at: datetime,
    today: date,
    by: Actor,
    person: str,
    paper: str,
    issued: date,
    last_day: date | None = None,
) -> PaperOnFile:
    """Put a paper on file with its dates as printed: one's own, or for the coordinator anybody's.

    It waits to be verified. Refuses an unknown paper, dates that cannot be, and the same paper and dates twice.
    """
    take_turn(db)
    _own_or_all(by, person)
    volunteer_for(db, by, person)
    known = require_edition(db, today, at).program.papers
    faults = [] if paper in known else [f"There is no paper {paper!r} in the program; there are {', '.join(known)}."]
    faults += date_faults(today, issued, last_day).values()
    line = next((one for one in papers_of(db, person, today, at) if one.paper.slug == paper), None)
    for entry in line.entries if line else ():
        if (entry.row.issued, entry.row.last_day) == (issued, last_day) and entry.state in (WAITING, VERIFIED):
            faults.append(f"This paper with these dates is on file already, and {entry.state}.")
    if faults:
        raise Refused(*faults)
    return _put(db, at, by, PaperOnFile(person=person, paper=paper, issued=issued, last_day=last_day))


def verify(db: Session, at: datetime, by: Actor, number: int) -> PaperOnFile:
    """Verify a paper: from its day of issue through its stated last day it is evidence. Nobody verifies their own."""
    row = _waiting(db, by, number)
    evidence = record(db, at, by.code, row.person, ON_FILE, f"paper/{row.paper}", row.issued, row.last_day)
    row.verified_at, row.verified_by, row.record = at, by.code, evidence.code
    db.flush()
    write(db, at, by.code, "paper-verified", row.person, {"entry": row.id, "paper": row.paper, "record": row.record})
    return row


def decline(db: Session, at: datetime, by: Actor, number: int, reason: str) -> PaperOnFile:
    """Decline a paper, with the reason that its volunteer reads; it may be put on file again."""
    row = _waiting(db, by, number)
    if not reason.strip():
        raise Refused("Write why it is declined; the volunteer reads it.")
    if len(reason) > LONGEST_REASON:
        raise Refused(f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.")
    row.declined_at, row.declined_because = at, reason.strip()
    db.flush()
    written = {"entry": row.id, "paper": row.paper, "reason": "sha256:" + digest(row.declined_because)}
    write(db, at, by.code, "paper-declined", row.person, written)
    return row


def _own_or_all(by: Actor, person: str) -> None:
    if by.code != person and not by.may(Act.VERIFY_PAPERS):
        raise NotAllowed("somebody else's papers")


def _put(db: Session, at: datetime, by: Actor, row: PaperOnFile) -> PaperOnFile:
    row.put_at, row.put_by = at, by.code
    db.add(row)
    db.flush()
    write(db, at, by.code, "paper-put", row.person, {
        "entry": row.id,
        "paper": row.paper,
        "issued": row.issued.isoformat(),
        "last_day": row.last_day.isoformat() if row.last_day else None,
    })  # fmt: skip
    return row


def _waiting(db: Session, by: Actor, number: int) -> PaperOnFile:
    """Return an entry that waits, read after one's turn to write has come, so that two cannot decide on it."""
    take_turn(db)
    row = db.scalar(select(PaperOnFile).where(PaperOnFile.id == number).execution_options(populate_existing=True))
    row = row or entry_for(db, number)
    if row.verified_at or row.declined_at:
        raise Refused(f"It was {'verified' if row.verified_at else 'declined'} already; nothing more was stored.")
    if row.person == by.code:
        raise Refused("Nobody verifies or declines their own paper; another coordinator has to.")
    return row
