"""Making and changing sessions, as long as they are open and their plan still fits."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.actions import in_order, store_session
from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.tables import ProgramSession
from mentor_training.calendar.versions import seal
from mentor_training.errors import Refused, Stale
from mentor_training.journal.actions import take_turn
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.turn import wait_for_turn
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import plan_for, standing_in
from mentor_training.planning.rules import plan_faults

CHANGED_MEANWHILE = "This session was changed while your page was open; nothing of yours was stored yet."


def save_session(db: Session, at: datetime, by: Actor, new: SessionFact, seen: str | None = None) -> bool:
    """Add a session or change an open one; return whether anything changed.

    `seen` is the seal of the session as it stood when the change was begun: refused where it stands otherwise now, so
    that nobody overwrites what they have not seen. None for a file, which says what it says.

    Refused where it is closed, where somebody checked in would no longer be expected, and where the plan would break a
    rule that it does not break now; who is placed is taken out of the plan first.
    """
    take_turn(db)
    there = db.get(ProgramSession, new.code) is not None
    if there and session_for(db, new.code) == in_order(new):
        return False
    wait_for_turn(db, new.code)
    if there and seen is not None and seen != seal(session_for(db, new.code)):
        raise Stale(CHANGED_MEANWHILE)
    if there:
        _keep_who_came(db, new)
    before = faults_in(db, new.code, at) if there else set()
    store_session(db, at, by, new)
    after = faults_in(db, new.code, at) - before
    if after:
        raise Refused(f"The plan of {new.code} would no longer hold; take them out of it first.", *sorted(after))
    return True


def import_sessions(db: Session, at: datetime, by: Actor, sessions: Iterable[SessionFact]) -> int:
    """Take checked sessions in, all or none; return how many were new or changed."""
    changed = 0
    reasons: list[str] = []
    for session in sessions:
        try:
            changed += save_session(db, at, by, session)
        except Refused as no:
            reasons.extend(f"{session.code}: {reason}" for reason in no.reasons)
    if reasons:
        raise Refused(*reasons)
    return changed


def faults_in(db: Session, session: str, at: datetime) -> set[str]:
    """Return, in words, every rule that a session's plan breaks now."""
    if not standing_in(db, session):
        return set()
    plan = plan_for(db, session, at)
    return set(plan_faults(plan.floor, plan.placed))


def _keep_who_came(db: Session, new: SessionFact) -> None:
    came = came_to(db, new.code)
    gone = sorted(code for kind, code in came if code not in new.expected(kind))
    faults = [f"{code} was checked in already and stays expected." for code in gone]
    if came and session_for(db, new.code).day != new.day:
        faults.append("People were checked in already, so the day stays.")
    if faults:
        raise Refused(*faults)
