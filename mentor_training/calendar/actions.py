"""Storing sessions, one or a series, terms, who can come when, and the private addresses of calendars.

Whether a session may still change, and what a change would do to its plan, the caller knows.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from mentor_training.calendar.availability import FORMS, last_said, read_answer
from mentor_training.calendar.queries import (
    OBSERVER,
    PARTICIPANT,
    SESSION,
    VOLUNTEER,
    hashed,
    said,
    session_for,
    terms,
)
from mentor_training.calendar.recurrence import Repeat, repeat_faults, rule_of
from mentor_training.calendar.rules import SessionFact, session_faults, write_blocks
from mentor_training.calendar.tables import Availability, Block, Expected, Feed, ProgramSession, Term
from mentor_training.calendar.terms import TermFact, term_faults
from mentor_training.calendar.versions import seal
from mentor_training.errors import Refused, Stale
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


def store_term(db: Session, at: datetime, by: Actor, term: TermFact, seen: str | None = None) -> bool:
    """Add a term or a newer version of one; return whether anything changed.

    `seen` is the seal of the version that the change was begun from, of None for a new one: refused where it is no
    longer that. Without it, as from a file, whatever is there is brought up to date.
    """
    take_turn(db)
    there = terms(db)
    before = next((one for one in there if one.code == term.code), None)
    if before == term:
        return False
    if seen is not None and seen != seal(before):
        raise Stale(f"Term {term.code} was changed while your page was open; nothing of yours was stored yet.")
    faults = term_faults(term, there)
    if faults:
        raise Refused(*(f"Term {term.code}, {fault.detail}: {fault.what}." for fault in faults))
    days = tuple(day.isoformat() for day in term.holidays)
    told = {"first_day": term.first_day, "last_day": term.last_day, "holidays": days}
    db.add(Term(code=term.code, title=term.title, **told, recorded_at=at, recorded_by=by.code))
    db.flush()
    span = {"first_day": term.first_day.isoformat(), "last_day": term.last_day.isoformat()}
    write(db, at, by.code, "term", term.code, {**span, "holidays": list(days)})
    return True


def import_terms(db: Session, at: datetime, by: Actor, new: Iterable[TermFact]) -> int:
    """Take checked terms in, all or none; return how many were new or changed."""
    changed, reasons = 0, list[str]()
    for one in new:
        try:
            changed += store_term(db, at, by, one)
        except Refused as no:
            reasons.extend(no.reasons)
    if reasons:
        raise Refused(*reasons)
    return changed


def say(
    db: Session, at: datetime, by: Actor, kind: str, code: str, about: str, which: str, answer: str,
    seen: int | None = None,
) -> bool:  # fmt: skip
    """Note what is said of when somebody can come; return whether it is something new. Whoever calls knows that they
    and what it is about are there, and who may say it.

    `seen` is the number of what was said last, about anything, when the page was opened, 0 for nothing: refused where
    something else was said about this since.
    """
    take_turn(db)
    written = read_answer(about, answer)
    if written is None:
        raise Refused(f"{answer!r} says nothing about a {about}: {FORMS[about]}.")
    before = last_said(said(db, at, kind, code)).get((kind, code, about, which))
    if before and before.answer == written:
        return False
    if seen is not None and before and before.number > seen:
        raise Stale("Something else was said about this while your page was open; nothing of yours was stored yet.")
    db.add(Availability(
        kind=kind, code=code, about=about, which=which, answer=written, said_at=at, said_by=by.code
    ))  # fmt: skip
    db.flush()
    write(db, at, by.code, "availability", code, {"kind": kind, "about": about, "which": which, "answer": written})
    return True


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
