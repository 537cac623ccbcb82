"""Striking an observation that was entered by mistake: another record, never a change."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import VOIDED
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.queries.history import observation_for
from mentor_training.observing.tables import Observation, Strike
from mentor_training.people.permissions import Act, Actor

LONGEST_REASON = 2000


def strike(db: Session, at: datetime, by: Actor, number: int, reason: str) -> Strike:
    """Strike an observation, with the reason; it stays to be seen, counts for nothing, and its record is void.

    A stop in it no longer sets the count back. A review that it opened, and a stand-down, go on until they are ended.
    """
    take_turn(db)
    if not by.may(Act.STRIKE):
        raise NotAllowed(Act.STRIKE.value)
    seen = observation_for(db, by, number)
    faults = _faults(db, by, seen, reason)
    if faults:
        raise Refused(*faults)
    _void(db, at, by, seen, reason.strip())
    row = Strike(observation=number, reason=reason.strip(), struck_at=at, struck_by=by.code)
    db.add(row)
    db.flush()
    written = {"observation": number, "skill": seen.skill, "reason": "sha256:" + digest(row.reason)}
    write(db, at, by.code, "observation-struck", seen.person, written)
    return row


def _faults(db: Session, by: Actor, seen: Observation, reason: str) -> list[str]:
    faults = [] if reason.strip() else ["Write why it is struck; it stays with the observation."]
    if len(reason) > LONGEST_REASON:
        faults.append(f"The reason has {len(reason)} characters; {LONGEST_REASON} are the most.")
    if by.code == seen.person:
        faults.append("Nobody strikes an observation of themselves.")
    if db.get(Strike, seen.id) is not None:
        faults.append(f"Observation {seen.id} was struck already.")
    return faults


def _void(db: Session, at: datetime, by: Actor, seen: Observation, reason: str) -> None:
    """Void the record of a met observation, so that clearance forgets it too, unless it is void already."""
    if seen.record is None or seen.record in effects(facts_of(db, seen.person, at)).voided:
        return
    item = f"skill/{seen.skill}"
    record(db, at, by.code, seen.person, VOIDED, item, seen.day, refers_to=seen.record, note=reason)
