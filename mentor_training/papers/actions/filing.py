"""Putting papers on file. A waiver is the clearance's business, not this room's."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.papers.actions.scans import own_or_all
from mentor_training.papers.queries import VERIFIED, WAITING, papers_of
from mentor_training.papers.rules import date_faults
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import volunteer_for
from mentor_training.program.queries import require_edition


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
    own_or_all(by, person)
    volunteer_for(db, by, person)
    known = require_edition(db, today, at).program.papers
    faults = [] if paper in known else [f"There is no paper {paper!r} in the program; there are {', '.join(known)}."]
    faults += date_faults(today, issued, last_day).values()
    line = next((one for one in papers_of(db, person, today, at) if one.paper.slug == paper), None)
    for entry in line.entries if line else ():
        if (entry.issued, entry.last_day) == (issued, last_day) and entry.state in (WAITING, VERIFIED):
            faults.append(f"This paper with these dates is on file already, and {entry.state}.")
    if faults:
        raise Refused(*faults)
    return _put(db, at, by, PaperOnFile(person=person, paper=paper, issued=issued, last_day=last_day))


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
