"""Changing a floor by hand: moving somebody, swapping two, and undoing the last change."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused, Stale
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.repairing import accept_repair, change
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.queries.changes import last_change
from mentor_training.planning.queries.plan import Plan, Standing
from mentor_training.planning.rules import LEAD, MENTOR, Placed


def move(
    db: Session, at: datetime, by: Actor, session: str, placement: int, station: str,
    participant: str | None = None, role: str = "",
) -> Placed:  # fmt: skip
    """Move somebody within their block: to another participant, station or task; refused as `place` refuses."""
    plan = open_plan(db, at, session)
    one = _standing(plan, placement)
    if station not in plan.floor.stations:
        raise Refused(f"{plan.floor.title(station)} is not open in session {session}.")
    if participant is not None and participant not in plan.floor.participants:
        raise Refused(f"{plan.floor.call(participant)} is not expected at session {session}.")
    task = role or (MENTOR if participant else LEAD)
    new = Placed(one.placed.block, station, one.placed.mentor, task, participant, 0)
    if replace(new, level=one.placed.level) == one.placed:
        raise Refused(f"{plan.floor.call(new.mentor)} is there already.")
    change(db, at, by, plan, [one], [new])
    return new


def swap(db: Session, at: datetime, by: Actor, session: str, placement: int, other: int) -> None:
    """Have two people in one block take each other's place; refused with every rule that one of them would break."""
    plan = open_plan(db, at, session)
    one, two = _standing(plan, placement), _standing(plan, other)
    if one.placed.block != two.placed.block or one.placed.mentor == two.placed.mentor:
        raise Refused("Two people are swapped who work in the same block.")
    places = (replace(one.placed, mentor=two.placed.mentor), replace(two.placed, mentor=one.placed.mentor))
    change(db, at, by, plan, [one, two], places)


def undo(db: Session, at: datetime, by: Actor, session: str, number: int) -> None:
    """Undo the last change of a floor, which must be the one that was shown, by its number in the journal.

    Undoing is a change as well: undone twice, it stands again. Refused where it would break a rule now.
    """
    open_plan(db, at, session)
    last = last_change(db, session)
    if last is None:
        raise Refused(f"Nobody has been placed in session {session} yet, so there is nothing to undo.")
    if last.number != number:
        raise Stale("The floor was changed while your page was open; nothing was undone. This is what changed last.")
    accept_repair(db, at, by, session, last.placed, last.removed)


def _standing(plan: Plan, placement: int) -> Standing:
    found = next((one for one in plan.standing if one.id == placement), None)
    if found is None:
        raise NotFound(f"placement {placement} in session {plan.session.code}; it may have been removed meanwhile")
    return found
