"""Handing a participant's card to a volunteer to read, and acknowledging that it was read."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import READ_CARD, Fact
from mentor_training.journal.actions import take_turn, write
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.queries.pairings import card_to_read
from mentor_training.planning.tables import Handed


def hand_card(db: Session, at: datetime, by: Actor, session: str, participant: str, person: str) -> Handed:
    """Hand a participant's card to a volunteer for a session, so that they can read it before they are paired.

    Both must be expected there and not kept apart. Handed twice, it stays handed once.
    """
    plan = open_plan(db, at, session)
    faults = [
        f"{plan.floor.call(code)} is not expected at session {session}."
        for code, expected in ((participant, plan.floor.participants), (person, plan.floor.volunteers))
        if code not in expected
    ]
    if person in plan.floor.keep_apart.get(participant, ()):
        faults.append(f"{plan.floor.call(person)} and {plan.floor.call(participant)} are kept apart.")
    if faults:
        raise Refused(*faults)
    row = db.get(Handed, (session, participant, person))
    if row is None:
        row = Handed(session=session, participant=participant, person=person, handed_at=at, handed_by=by.code)
        db.add(row)
        db.flush()
        write(db, at, by.code, "handed", person, {"session": session, "participant": participant})
    return row


def read_card(db: Session, at: datetime, by: Actor, participant: str, version: int, zone: ZoneInfo) -> Fact | None:
    """Record that a volunteer read and acknowledged a card: their own reading, of the version that counts.

    Only for a session they are paired in with this participant, or for which the card was handed to them, from two days
    before it to the end of its day. Read again, nothing more is recorded.
    """
    take_turn(db)
    today = day_in(zone, at)
    _, found = card_to_read(db, by.code, participant, version, today, at)
    if found.is_read:
        return None
    return record(db, at, by.code, by.code, READ_CARD, found.card.item, today)
