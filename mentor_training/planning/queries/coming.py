"""Who came to a session and when they left."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.planning.tables import Attendance


@dataclass(frozen=True)
class Came:
    """Somebody who came: a participant or a volunteer; no `left_at` while they are there."""

    kind: str
    code: str
    came_at: datetime
    left_at: datetime | None


@dataclass(frozen=True)
class Stay:
    """How long a volunteer or participant was there; `flag` says what asks for a look."""

    kind: str
    code: str
    came_at: datetime
    left_at: datetime
    flag: str = ""


def came_to(db: Session, session: str) -> dict[tuple[str, str], Came]:
    """Return who came to a session, by kind and code."""
    rows = db.scalars(select(Attendance).where(Attendance.session == session))
    return {(row.kind, row.code): Came(row.kind, row.code, row.came_at, row.left_at) for row in rows}


def moment_of(zone: ZoneInfo, day: date, at: time) -> datetime:
    """Return the moment of a time of day in the program's zone; a doubled one is its first (PEP 495, fold 0)."""
    return datetime.combine(day, at, tzinfo=zone)


def end_of(session: SessionFact, zone: ZoneInfo) -> datetime:
    """Return the moment at which a session ends."""
    return moment_of(zone, session.day, session.ends)


def counted(session: SessionFact, came: dict[tuple[str, str], Came]) -> dict[str, int]:
    """Return how many of those expected came, by kind."""
    kinds = ("participant", "volunteer")
    return {kind: sum((kind, code) in came for code in session.expected(kind)) for kind in kinds}
