"""Placing volunteers, taking them out again, and accepting a plan that was proposed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import delete
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import write
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import person_for
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.proposal import fitting
from mentor_training.planning.queries.plan import Standing, placement_for
from mentor_training.planning.rules import LEAD, MENTOR, Placed, refusals, removal_refusals
from mentor_training.planning.tables import Placement, Shadow

CHANGED_SINCE = "Something has changed since this plan was proposed; nothing was stored. Propose it again."


def place(
    db: Session, at: datetime, by: Actor, session: str, block: int, station: str, mentor: str,
    participant: str | None = None, role: str = "",
) -> Placement:  # fmt: skip
    """Place a mentor with a participant at a station in a block; with no participant, as its lead or on a duty.

    The gate and every rule are asked here, inside the transaction that stores; a refusal names every reason.
    """
    plan = open_plan(db, at, session)
    person_for(db, mentor)
    if station not in plan.floor.stations:
        raise Refused(f"{plan.floor.title(station)} is not open in session {session}.")
    if participant is not None and participant not in plan.floor.participants:
        raise Refused(f"{plan.floor.call(participant)} is not expected at session {session}.")
    decision = plan.decide(mentor, station, participant)
    new = Placed(block, station, mentor, role or (MENTOR if participant else LEAD), participant, decision.level)
    reasons = refusals(plan.floor, plan.placed_in(block), new, decision.reasons())
    if reasons:
        raise Refused(*reasons)
    return store(db, at, by, session, new)


def remove(db: Session, at: datetime, by: Actor, session: str, placement: int) -> Placed:
    """Take a volunteer out of a plan; return where they were. Refused for a lead on whom others depend."""
    plan = open_plan(db, at, session)
    placement_for(db, session, placement)
    standing, gone = next(
        (one, now) for one, now in zip(plan.standing, plan.placed, strict=True) if one.id == placement
    )
    reasons = removal_refusals(plan.floor, plan.placed, gone)
    if reasons:
        raise Refused(*reasons)
    take_out(db, at, by, session, replace(standing, placed=gone))
    return gone


def take_out(db: Session, at: datetime, by: Actor, session: str, gone: Standing) -> None:
    """Delete a placement and write it in the journal; whoever calls has asked the rules."""
    db.delete(placement_for(db, session, gone.id))
    db.flush()
    write(db, at, by.code, "removed", gone.placed.mentor, _for_journal(session, gone.placed))


def accept(db: Session, at: datetime, by: Actor, session: str, proposed: Sequence[Placed]) -> tuple[Placed, ...]:
    """Store a proposed plan: all of it, or nothing where the plan or a clearance has changed since in its way.

    Each placement is asked as `place` asks, leads first, with the levels of now; whoever stands already stays, and what
    stands just as it was proposed is no obstacle. What is stored is returned.
    """
    plan = open_plan(db, at, session)
    plan.gate.load_everybody()
    now = fitting(plan.floor, plan.placed, proposed, plan.level_now)
    if now.broken:
        raise Refused(CHANGED_SINCE, *now.reasons)
    for new in now.new:
        store(db, at, by, session, new)
    return now.new


def store(db: Session, at: datetime, by: Actor, session: str, new: Placed) -> Placement:
    """Store a placement and write it in the journal; whoever calls has asked the rules."""
    row = Placement(
        session=session, block=new.block, station=new.station, mentor=new.mentor, role=new.role,
        participant=new.participant, level=int(new.level), placed_at=at, placed_by=by.code,
    )  # fmt: skip
    # Whoever watched in this block works now.
    db.execute(delete(Shadow).where(Shadow.session == session, Shadow.block == new.block, Shadow.person == new.mentor))
    db.add(row)
    try:
        db.flush()
    except IntegrityError:
        raise Refused(f"{new.mentor} has been placed in block {new.block} by somebody else meanwhile.") from None
    write(db, at, by.code, "placed", new.mentor, _for_journal(session, new))
    return row


def _for_journal(session: str, placed: Placed) -> dict[str, str | int | None]:
    return {
        "session": session,
        "block": placed.block,
        "station": placed.station,
        "role": placed.role,
        "participant": placed.participant,
        "level": int(placed.level),
    }
