"""Verifying and declining papers: one of the two, once, by somebody else than whose paper it is."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import ON_FILE
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.papers.queries import entry_for
from mentor_training.papers.rules import Seen, verification_faults
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.permissions import Actor
from mentor_training.program.queries import require_edition

LONGEST_REASON = 500


def verify(db: Session, at: datetime, today: date, by: Actor, number: int, seen: Seen | None = None) -> PaperOnFile:
    """Verify a paper: from its day of issue through its stated last day it is evidence. Nobody verifies their own.

    `seen` are the dates as the coordinator read them, which count from then on; with none, those it was put on file
    with. Where the program asks for the hands-on part, who answered and what stands with it. Refuses as the rule says.
    """
    row = waiting_entry(db, by, number)
    seen = seen or Seen(row.issued, row.last_day)
    paper = require_edition(db, today, at).program.papers.get(row.paper)
    faults = verification_faults(today, seen, paper is not None and paper.hands_on)
    if faults or seen.issued is None:
        raise Refused(*faults.values())
    evidence = record(db, at, by.code, row.person, ON_FILE, f"paper/{row.paper}", seen.issued, seen.last_day)
    row.verified_at, row.verified_by, row.record, row.hands_on = at, by.code, evidence.code, seen.hands_on
    db.flush()
    write(db, at, by.code, "paper-verified", row.person, _for_journal(row, seen))
    return row


def _for_journal(row: PaperOnFile, seen: Seen) -> dict[str, str | int | bool | None]:
    """Say what was verified; the dates, where they are others than it was put on file with, stand in its record."""
    written: dict[str, str | int | bool | None] = {"entry": row.id, "paper": row.paper, "record": row.record}
    if (seen.issued, seen.last_day) != (row.issued, row.last_day):
        written["corrected"] = True
    if seen.hands_on is not None:
        written["hands_on"] = seen.hands_on
    if row.scan is not None:
        written["scan"] = row.scan
    return written


def decline(db: Session, at: datetime, by: Actor, number: int, reason: str) -> PaperOnFile:
    """Decline a paper, with the reason that its volunteer reads; it may be put on file again."""
    row = waiting_entry(db, by, number)
    if not reason.strip():
        raise Refused("Write why it is declined; the volunteer reads it.")
    if len(reason) > LONGEST_REASON:
        raise Refused(f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.")
    row.declined_at, row.declined_because = at, reason.strip()
    db.flush()
    written = {"entry": row.id, "paper": row.paper, "reason": "sha256:" + digest(row.declined_because)}
    write(db, at, by.code, "paper-declined", row.person, written)
    return row


def waiting_entry(db: Session, by: Actor, number: int) -> PaperOnFile:
    """Return an entry that waits and is not one's own.

    It is read after one's turn to write has come, so that two cannot decide on it.
    """
    take_turn(db)
    row = db.scalar(select(PaperOnFile).where(PaperOnFile.id == number).execution_options(populate_existing=True))
    row = row or entry_for(db, number)
    if row.verified_at or row.declined_at:
        raise Refused(f"It was {'verified' if row.verified_at else 'declined'} already; nothing more was stored.")
    if row.person == by.code:
        raise Refused("Nobody verifies or declines their own paper; another coordinator has to.")
    return row
