"""Withdrawing a sign-off: another record with the reason, by whoever signed or by the coordinator."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import WITHDRAWN, Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.journal.actions import take_turn
from mentor_training.observing.queries.signed import sign_off_for, withdrawal_of
from mentor_training.people.permissions import Act, Actor


def withdraw_sign_off(db: Session, at: datetime, by: Actor, code: str, first_day: date, reason: str) -> Fact:
    """Withdraw a sign-off from a day on: from then on the skill is not held by it, and every level that rests on it
    falls. What it did before stays.
    """
    take_turn(db)
    if not by.may(Act.WITHDRAW_SIGN_OFF):
        raise NotAllowed(Act.WITHDRAW_SIGN_OFF.value)
    row = sign_off_for(db, by, code)
    earlier = withdrawal_of(facts_of(db, row.person, at), code)
    faults = [] if reason.strip() else ["Write the reason; it stays with the record."]
    if by.code == row.person:
        faults.append("Nobody withdraws a sign-off of themselves.")
    if earlier and earlier.first_day <= first_day:
        faults.append(f"It is withdrawn from {earlier.first_day} already, by {earlier.code}.")
    if faults:
        raise Refused(*faults)
    return record(
        db, at, by.code, row.person, WITHDRAWN, f"skill/{row.skill}", first_day, refers_to=code, note=reason.strip()
    )
