"""The codes that a session may name."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import known_stations
from mentor_training.calendar.timetable import Known
from mentor_training.participants.queries import first_names
from mentor_training.people.permissions import OBSERVER, VOLUNTEER
from mentor_training.people.queries import people


def known_for_sessions(db: Session, known_at: datetime) -> Known:
    """Return the stations, participants, volunteers and observers that are known at a moment."""
    return Known(
        known_stations(db, known_at),
        frozenset(first_names(db)),
        frozenset(row.code for row in people(db, VOLUNTEER)),
        frozenset(row.code for row in people(db, OBSERVER)),
    )
