"""Live looks that two observers took at one performance, and the sign-offs to go over where they differ too much."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.observing.queries.standings import standing_facts
from mentor_training.observing.queries.strikes import struck_observations
from mentor_training.observing.rules.paired import Look, Paired, paired_since, pairs_among
from mentor_training.observing.rules.standing import CALIBRATED, EVERY_SKILL, stands
from mentor_training.observing.tables import Mark, Observation, SignOff
from mentor_training.people.permissions import OBSERVER
from mentor_training.people.queries import people
from mentor_training.people.tables import Person


@dataclass(frozen=True)
class PairedObserver:
    """One observer with their pairs since they were last calibrated; `since` is None where they never were."""

    person: Person
    since: date | None
    paired: Paired


def paired_observers(db: Session, today: date, known_at: datetime) -> list[PairedObserver]:
    """Return every observer with what was seen in pairs since their last calibration; struck observations left out."""
    pairs = pairs_among(live_looks(db, known_at))
    found = []
    for row in people(db, OBSERVER):
        since = calibrated_since(db, row.code, today, known_at)
        found.append(PairedObserver(row, since, paired_since(pairs, row.code, since)))
    return found


def calibrated_since(db: Session, observer: str, today: date, known_at: datetime) -> date | None:
    """Return the first day of an observer's last calibration, whether it still holds or not."""
    facts = standing_facts(db, observer, known_at)
    days = [fact.first_day for fact in facts if fact.kind == CALIBRATED and fact.first_day <= today]
    return max((day for day in days if stands(facts, CALIBRATED, EVERY_SKILL, day)), default=None)


def live_looks(db: Session, known_at: datetime) -> list[Look]:
    """Return all live observations known at a moment that were not struck by then."""
    struck = struck_observations(db, known_at)
    query = select(Observation).where(Observation.live.is_(True), Observation.recorded_at <= known_at)
    rows = [row for row in db.scalars(query) if row.id not in struck]
    marks: dict[int, dict[int, str]] = defaultdict(dict)
    live = select(Mark).join(Observation, Observation.id == Mark.observation).where(Observation.live.is_(True))
    for mark in db.scalars(live):
        marks[mark.observation][mark.criterion] = mark.mark
    return [
        Look(
            row.id, row.observer, row.person, row.skill, row.day, row.participant, row.program_edition, marks[row.id]
        )
        for row in rows
    ]  # fmt: skip


def sign_offs_since(
    db: Session, observer: str, since: date | None, zone: ZoneInfo, volunteers: Collection[str]
) -> list[SignOff]:
    """Return an observer's sign-offs of some volunteers from a day on, oldest first; None: of all days."""
    query = select(SignOff).where(SignOff.observer == observer)
    if since is not None:
        query = query.where(SignOff.moment >= datetime.combine(since, time(), zone))
    return [row for row in db.scalars(query.order_by(SignOff.moment, SignOff.record)) if row.person in volunteers]
