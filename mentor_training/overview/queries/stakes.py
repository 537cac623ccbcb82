"""What hangs on each skill of the volunteers whom an observer has before them."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.clearance.queries import gate_at
from mentor_training.observing.rules.urgency import Stake
from mentor_training.overview.at_stake import stakes_of
from mentor_training.overview.queries.steps import expected_ahead


def stakes_on_floor(db: Session, people: Collection[str], day: date, known_at: datetime) -> dict[str, dict[str, Stake]]:
    """Return what hangs on each skill of some volunteers on a day; refuses where no edition is in force."""
    gate = gate_at(db, known_at)
    program = gate.edition(day).program
    if len(people) > 1:
        gate.load_everybody()
    expected = expected_ahead(db, day, known_at, program)
    return {
        person: stakes_of([gate.decide(person, slug, None, day) for slug in program.stations], expected)
        for person in people
    }
