"""Noting who shadows at a station in a block, and that they do no longer."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import write
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import person_for
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.queries.shadows import refusals_of
from mentor_training.planning.tables import Shadow


def shadow(db: Session, at: datetime, by: Actor, session: str, block: int, station: str, person: str) -> Shadow:
    """Note that somebody shadows at a station in a block; where they did so elsewhere in it, they go there now."""
    plan = open_plan(db, at, session)
    person_for(db, person)
    reasons = refusals_of(plan, block, station, person)
    if reasons:
        raise Refused(*reasons)
    row = db.get(Shadow, (session, block, person))
    if row and row.station == station:
        return row
    if row is None:
        row = Shadow(session=session, block=block, person=person)
        db.add(row)
    row.station, row.noted_at, row.noted_by = station, at, by.code
    db.flush()
    write(db, at, by.code, "shadows", person, {"session": session, "block": block, "station": station})
    return row


def end_shadow(db: Session, at: datetime, by: Actor, session: str, block: int, person: str) -> None:
    """Note that somebody does not shadow in a block any more."""
    open_plan(db, at, session)
    row = db.get(Shadow, (session, block, person))
    if row is None:
        raise Refused(f"{person} does not shadow in block {block}; it may have been ended meanwhile.")
    db.delete(row)
    db.flush()
    write(db, at, by.code, "shadow-ended", person, {"session": session, "block": block})
