"""Sign-offs as they were given: by whom, resting on what, with which words, and what became of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import VOIDED, WITHDRAWN, Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.observing.tables import SignOff
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.queries import people


@dataclass(frozen=True)
class ShownSignOff:
    """A sign-off with its signer's name, the day it began, why it was given all the same, and who took it back."""

    row: SignOff
    signer: str
    first_day: date
    reason: str
    withdrawn: Fact | None
    withdrawn_by: str = ""


def sign_off_for(db: Session, viewer: Actor, record: str) -> SignOff:
    """Return a sign-off by its record: one's own, or for the coordinator any."""
    row = db.get(SignOff, record)
    if row is None:
        raise NotFound(f"sign-off {record}")
    if viewer.code != row.observer and COORDINATOR not in viewer.roles:
        raise NotAllowed("another observer's sign-off")
    return row


def shown_sign_offs(db: Session, person: str, skill: str, known_at: datetime) -> tuple[ShownSignOff, ...]:
    """Return the sign-offs of a volunteer's skill, newest first, with what withdrew or voided them."""
    query = select(SignOff).where(SignOff.person == person, SignOff.skill == skill, SignOff.moment <= known_at)
    facts = facts_of(db, person, known_at)
    names = {row.code: row.name for row in people(db)}
    rows = db.scalars(query.order_by(SignOff.moment.desc(), SignOff.record.desc()))
    return tuple(_shown(row, facts, names) for row in rows)


def withdrawal_of(facts: tuple[Fact, ...], record: str) -> Fact | None:
    """Return what took a record back first; a withdrawal that was itself voided did nothing."""
    voided = effects(facts).voided
    found = (
        fact
        for fact in facts
        if fact.refers_to == record and fact.kind in (WITHDRAWN, VOIDED) and fact.code not in voided
    )
    return min(found, key=lambda fact: fact.first_day, default=None)


def _shown(row: SignOff, facts: tuple[Fact, ...], names: dict[str, str]) -> ShownSignOff:
    first_day = next(fact.first_day for fact in facts if fact.code == row.record)
    withdrawn = withdrawal_of(facts, row.record)
    by = names.get(withdrawn.recorded_by, withdrawn.recorded_by) if withdrawn else ""
    return ShownSignOff(row, names.get(row.observer, row.observer), first_day, row.reason, withdrawn, by)
