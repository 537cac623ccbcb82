"""Which volunteers work side by side with somebody."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from mentor_training.calendar.tables import ProgramSession
from mentor_training.planning.tables import Placement


def partners_of(db: Session, person: str, day: date) -> frozenset[str]:
    """Return the mentors who have a participant together with somebody, in one block of a session on a day.

    An observer who works on the floor as a mentor neither observes nor signs off them. A rule of this program.
    """
    own, other = aliased(Placement), aliased(Placement)
    query = (
        select(other.mentor)
        .join(own, (own.session == other.session) & (own.block == other.block) & (own.participant == other.participant))
        .join(ProgramSession, ProgramSession.code == own.session)
        .where(own.mentor == person, other.mentor != person, ProgramSession.day == day)
    )
    return frozenset(db.scalars(query))
