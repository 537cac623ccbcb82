"""Closing a station during a session, and opening it again: each a record that stays."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import write
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.closed import CLOSED, OPENED, REASONS, blocks_closed
from mentor_training.planning.queries.plan import Plan
from mentor_training.planning.tables import StationClosing


def close_station(
    db: Session, at: datetime, by: Actor, session: str, station: str, from_block: int, reason: str
) -> StationClosing | None:
    """Close a station from a block on; None where it is closed in all of those blocks already.

    Whoever is placed there stays in the plan and counts for nobody, so that closing is never in anybody's way.
    """
    plan = open_plan(db, at, session)
    blocks = _blocks_from(plan, station, from_block)
    if reason not in REASONS:
        raise Refused(f"Choose why {plan.floor.title(station)} is closed.")
    if all((block, station) in plan.floor.closed for block in blocks):
        return None
    return _store(db, at, by, session, station, CLOSED, from_block, reason)


def open_station(db: Session, at: datetime, by: Actor, session: str, station: str, from_block: int) -> StationClosing:
    """Open a closed station again from a block on; the closing stays where it is written."""
    plan = open_plan(db, at, session)
    blocks = _blocks_from(plan, station, from_block)
    if not set(blocks_closed(plan.floor.closed, station)) & set(blocks):
        raise Refused(f"{plan.floor.title(station)} is not closed from block {from_block} on; it may be open again.")
    return _store(db, at, by, session, station, OPENED, from_block, "")


def _blocks_from(plan: Plan, station: str, from_block: int) -> tuple[int, ...]:
    if station not in plan.floor.stations:
        raise Refused(f"{plan.floor.title(station)} is not open in session {plan.session.code}.")
    if from_block not in plan.floor.blocks:
        raise Refused(f"The session has no block {from_block}.")
    return tuple(block for block in plan.floor.blocks if block >= from_block)


def _store(
    db: Session, at: datetime, by: Actor, session: str, station: str, kind: str, from_block: int, reason: str
) -> StationClosing:  # fmt: skip
    told = {"session": session, "from_block": from_block, "reason": reason}
    row = StationClosing(
        session=session, station=station, kind=kind, from_block=from_block, reason=reason, turned_at=at,
        turned_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    write(db, at, by.code, f"station-{kind}", station, told)
    return row
