"""Storing sessions, one or a series, and the private addresses of calendars.

Whether a session may still change, and what a change would do to its plan, the caller knows.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import OBSERVER, PARTICIPANT, SESSION, VOLUNTEER, hashed, session_for
from mentor_training.calendar.recurrence import Repeat, repeat_faults, rule_of
from mentor_training.calendar.rules import SessionFact, session_faults, write_blocks
from mentor_training.calendar.tables import Block, Expected, Feed, ProgramSession
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
    write(db, at, by.code, SESSION, new.code, _for_journal(new))
    return True


def store_new(db: Session, at: datetime, by: Actor, new: Sequence[SessionFact]) -> None:
    """Add sessions, all or none; refused where a code is taken, which is told of each."""
    take_turn(db)
    codes = [one.code for one in new]
    taken = sorted(db.scalars(select(ProgramSession.code).where(ProgramSession.code.in_(codes))))
    if taken:
        raise Refused(*(f"{code} is there already; choose another code." for code in taken))
    for one in new:
        store_session(db, at, by, one)


def store_series(db: Session, at: datetime, by: Actor, new: Sequence[SessionFact], repeat: Repeat) -> None:
    """Add the sessions of a series, all or none, and say in the journal by which rule of RFC 5545 they were made."""
    faults = repeat_faults(repeat)
    if faults:
        raise Refused(*(one.what for one in faults))
    store_new(db, at, by, new)
    record = {
        "first_day": repeat.first.isoformat(),
        "rule": rule_of(repeat),
        "left_out": [day.isoformat() for day in sorted(repeat.left_out)],
        "sessions": [one.code for one in new],
    }
    write(db, at, by.code, "session-series", new[0].code, record)


def make_feed(db: Session, at: datetime, by: Actor) -> str:
    """Make a private address for somebody's own calendar and return its secret; the address before ends at once."""
    take_turn(db)
    token = secrets.token_urlsafe(32)
    row = db.get(Feed, by.code)
    if row is None:
        db.add(Feed(person=by.code, token_hash=hashed(token), made_at=at))
    else:
        row.token_hash, row.made_at = hashed(token), at
    db.flush()
    write(db, at, by.code, "calendar-feed", by.code, {"is": "renewed" if row else "made"})
    return token


def end_feed(db: Session, at: datetime, by: Actor) -> bool:
    """End the private address of somebody's own calendar; return whether there was one."""
    take_turn(db)
    row = db.get(Feed, by.code)
    if row is None:
        return False
    db.delete(row)
    db.flush()
    write(db, at, by.code, "calendar-feed", by.code, {"is": "ended"})
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
