"""What every act on a session begins with: waiting for one's turn, and that the session is still open."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn
from mentor_training.planning.queries.plan import Plan, closing_of, plan_for


def open_plan(db: Session, at: datetime, session: str) -> Plan:
    """Wait for one's turn and return the plan of an open session as it stands then."""
    wait_for_turn(db, session)
    return plan_for(db, session, at)


def wait_for_turn(db: Session, session: str) -> None:
    """Wait for one's turn; refuse where the session is closed."""
    take_turn(db)
    still_open(db, session)


def still_open(db: Session, session: str) -> None:
    """Refuse where the session is closed."""
    closing = closing_of(db, session)
    if closing:
        raise Refused(f"Session {session} was closed; the floor as it ran no longer changes.")
