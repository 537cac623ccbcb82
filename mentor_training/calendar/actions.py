"""Storing a session. Whether a session may still change, and what a change would do to its plan, the caller knows."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy import delete
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import OBSERVER, PARTICIPANT, VOLUNTEER, session_for
from mentor_training.calendar.rules import SessionFact, session_faults, write_blocks
from mentor_training.calendar.tables import Block, Expected, ProgramSession
from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.people.permissions import Actor


def store_session(db: Session, at: datetime, by: Actor, session: SessionFact) -> bool:
    """Add a session or bring it up to date; return whether anything changed."""
    take_turn(db)
    faults = session_faults(session)
    if faults:
        raise Refused(*(f"Session {session.code}, {fault.detail}: {fault.what}." for fault in faults))
    new = in_order(session)
    row = db.get(ProgramSession, new.code)
    if row and session_for(db, new.code) == new:
        return False
    if row is None:
        row = ProgramSession(code=new.code, recorded_at=at)
        db.add(row)
    row.title, row.day, row.starts, row.ends, row.stations = new.title, new.day, new.starts, new.ends, new.stations
    db.flush()
    _store_details(db, new)
    write(db, at, by.code, "session", new.code, _for_journal(new))
    return True


def in_order(session: SessionFact) -> SessionFact:
    """Return a session with everybody in the order of their codes, as it is read back."""
    return replace(
        session,
        participants=tuple(sorted(session.participants)),
        volunteers=tuple(sorted(session.volunteers)),
        observers=tuple(sorted(session.observers)),
    )


def _store_details(db: Session, session: SessionFact) -> None:
    for table in (Block, Expected):
        db.execute(delete(table).where(table.session == session.code))
    db.add_all(
        Block(session=session.code, number=one.number, starts=one.starts, ends=one.ends) for one in session.blocks
    )
    for kind in (PARTICIPANT, VOLUNTEER, OBSERVER):
        db.add_all(Expected(session=session.code, kind=kind, code=code) for code in session.expected(kind))
    db.flush()


def _for_journal(session: SessionFact) -> dict[str, str | list[str]]:
    return {
        "day": session.day.isoformat(),
        "times": f"{session.starts:%H:%M}-{session.ends:%H:%M}",
        "blocks": write_blocks(session.blocks),
        "stations": list(session.stations),
        "participants": list(session.participants),
        "volunteers": list(session.volunteers),
        "observers": list(session.observers),
    }
