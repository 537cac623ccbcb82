"""What a review sets off in clearance: a stand-down at once, and its lifting with the release, in one transaction."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.clearance.actions import lift, pause
from mentor_training.errors import Refused
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import STOOD_DOWN, Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.observing.actions.reviews import note_release, note_stand_down
from mentor_training.observing.queries.reviews import file_of, review_for
from mentor_training.observing.tables import Review
from mentor_training.people.permissions import Actor


def stand_down_for_review(
    db: Session, at: datetime, by: Actor, number: int, scope: str, first_day: date, reason: str
) -> Fact:
    """Stand the volunteer of a review down until the release: everywhere, at a station, or wherever an activity is."""
    row = review_for(db, by, number)
    same = [fact.code for fact in standing_for(db, row, first_day, at) if fact.item == scope]
    if same:
        raise Refused(f"They are stood down there already, by {same[0]}.")
    stood_down = pause(db, at, by, row.person, STOOD_DOWN, scope, first_day, None, reason)
    note_stand_down(db, at, by, number, stood_down.code)
    return stood_down


def release(db: Session, at: datetime, by: Actor, number: int, first_day: date, outcome: str) -> tuple[Fact, ...]:
    """Close a review and lift, from a day on, every stand-down that was set for it and holds still."""
    row = review_for(db, by, number)
    note_release(db, at, by, number, outcome)
    standing = standing_for(db, row, first_day, at)
    return tuple(lift(db, at, by, fact.code, first_day, outcome.strip()) for fact in standing)


def standing_for(db: Session, row: Review, on: date, known_at: datetime) -> tuple[Fact, ...]:
    """Return the stand-downs that were set for a review and still hold on a day."""
    codes = set(file_of(db, row).progress.stand_downs)
    facts = facts_of(db, row.person, known_at)
    effect = effects(facts)
    return tuple(fact for fact in facts if fact.code in codes and effect.stands(fact.code, on))
