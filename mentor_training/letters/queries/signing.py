"""Which sign-offs wait for which observer, as their own page says it."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.observing.actions.sign_off import objections
from mentor_training.observing.queries.floor import SkillState, to_see, volunteers_before
from mentor_training.observing.queries.history import shown_observations
from mentor_training.people.permissions import OBSERVER, Actor
from mentor_training.people.queries import actor_of, people, volunteers
from mentor_training.planning.queries.partners import partners_of


def sign_offs_waiting(db: Session, on: date, at: datetime) -> dict[str, tuple[tuple[str, str], ...]]:
    """Return by observer the volunteers and skills that they may sign off on a day, by what is known at a moment."""
    ready = [
        (line.person.code, state)
        for line in to_see(db, tuple(volunteers(db)), on, at)
        for state in line.states
        if state.group == "ready"
    ]
    found: dict[str, tuple[tuple[str, str], ...]] = {}
    for row in people(db, OBSERVER) if ready else ():
        by = actor_of(row)
        seen = {one.code for one in volunteers_before(db, by, on)}
        mine = tuple(
            (code, state.skill.slug) for code, state in ready if code in seen and _may(db, on, at, by, code, state)
        )
        if mine:
            found[row.code] = tuple(sorted(mine))
    return found


def _may(db: Session, on: date, at: datetime, by: Actor, code: str, state: SkillState) -> bool:
    days = {on, *(one.row.day for one in shown_observations(db, by, code, state.skill.slug, at))}
    partners = {other for day in days for other in partners_of(db, by.code, day)}
    return not objections(db, at, on, by, code, state.skill, state.readiness, partners)
