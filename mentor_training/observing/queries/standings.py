"""What observers were on a day, and what stands between an observer and a volunteer."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.errors import NotFound
from mentor_training.observing.rules.standing import CALIBRATED, ENTITLED, Between, StandingFact, stands
from mentor_training.observing.tables import Standing
from mentor_training.people.permissions import OBSERVER
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person

_ROWS = table_of(Standing).c
_FACTS = (
    select(_ROWS.id, _ROWS.kind, _ROWS.skill, _ROWS.first_day, _ROWS.last_day, _ROWS.calibration)
    .where(_ROWS.observer == bindparam("observer"), _ROWS.recorded_at <= bindparam("known_at"))
    .order_by(_ROWS.id)
)


def observer_for(db: Session, code: str) -> Person:
    """Return an observer by code."""
    row = db.get(Person, code)
    if row is None or OBSERVER not in row.roles:
        raise NotFound(f"observer {code}")
    return row


def standing_rows(db: Session, observer: str, known_at: datetime) -> list[Standing]:
    """Return the entries about one observer known at a moment, in the order of entry."""
    query = select(Standing).where(Standing.observer == observer, Standing.recorded_at <= known_at)
    return list(db.scalars(query.order_by(Standing.id)))


def standing_facts(db: Session, observer: str, known_at: datetime) -> tuple[StandingFact, ...]:
    """Return the entries about one observer as frozen facts."""
    rows = run(db, _FACTS, {"observer": observer, "known_at": known_at})
    return tuple(StandingFact(*row) for row in rows)


def was_calibrated(db: Session, observer: str, skill: str, day: date, known_at: datetime) -> bool:
    """Say whether an observer was calibrated on a day."""
    return stands(standing_facts(db, observer, known_at), CALIBRATED, skill, day)


def was_entitled(db: Session, observer: str, skill: str, day: date, known_at: datetime) -> bool:
    """Say whether an observer was entitled to a skill on a day."""
    return stands(standing_facts(db, observer, known_at), ENTITLED, skill, day)


def between(db: Session, observer: str, volunteer: str, partners: Collection[str]) -> Between:
    """Gather what stands between two people; a conflict that either of them named counts."""
    conflicts = set(person_for(db, observer).conflicts)
    if observer in person_for(db, volunteer).conflicts:
        conflicts.add(volunteer)
    return Between(observer, volunteer, frozenset(conflicts), frozenset(partners))
