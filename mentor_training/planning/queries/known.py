"""The codes that a session or a file of availability may name."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.availability import PARTICIPANT, PERSON, SESSION, TERM
from mentor_training.calendar.availability_file import KnownCodes
from mentor_training.calendar.queries import known_stations, sessions, terms
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


def known_for_availability(db: Session) -> KnownCodes:
    """Return who may be named in a file of availability, and which terms and sessions."""
    able = {row.code for role in (VOLUNTEER, OBSERVER) for row in people(db, role)}
    return KnownCodes(
        {PERSON: frozenset(able), PARTICIPANT: frozenset(first_names(db))},
        {TERM: frozenset(one.code for one in terms(db)), SESSION: frozenset(one.code for one in sessions(db))},
    )
