"""Who came to a session and when they left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.planning.by_clock import blocks_missed, is_early, is_late
from mentor_training.planning.tables import Attendance, AttendanceCorrection


@dataclass(frozen=True)
class Came:
    """Somebody who came: a participant or a volunteer; no `left_at` while they are there.

    `elsewhere_at` is when they were checked in at another session after that: by then they were no longer here.
    """

    kind: str
    code: str
    came_at: datetime
    left_at: datetime | None
    elsewhere_at: datetime | None = None
    checked_by: str = ""


@dataclass(frozen=True)
class Stay:
    """How long a volunteer or participant was there; `flag` says what asks for a look."""

    kind: str
    code: str
    came_at: datetime
    left_at: datetime
    flag: str = ""


def came_to(db: Session, session: str) -> dict[tuple[str, str], Came]:
    """Return who came to a session, by kind and code, as it was noted at the door or put right after the day."""
    rows = list(db.scalars(select(Attendance).where(Attendance.session == session)))
    after = _checked_in_after(db, session, rows)
    noted = {
        (row.kind, row.code): Came(
            row.kind, row.code, row.came_at, row.left_at, after.get((row.kind, row.code)), row.checked_by
        )
        for row in rows
    }  # fmt: skip
    return _put_right(noted, corrections_of(db, session))


def corrections_of(db: Session, session: str) -> list[AttendanceCorrection]:
    """Return what was put right about who came to a session after its day, in the order in which it was."""
    query = select(AttendanceCorrection).where(AttendanceCorrection.session == session)
    return list(db.scalars(query.order_by(AttendanceCorrection.number)))


def _put_right(
    noted: dict[tuple[str, str], Came], corrections: Sequence[AttendanceCorrection]
) -> dict[tuple[str, str], Came]:
    found = dict(noted)
    for row in corrections:
        key = (row.kind, row.code)
        if row.came_at is None:
            found.pop(key, None)
        else:
            found[key] = Came(row.kind, row.code, row.came_at, row.left_at, None, row.corrected_by)
    return found


def _checked_in_after(db: Session, session: str, rows: Sequence[Attendance]) -> dict[tuple[str, str], datetime]:
    """Return when those who came were next checked in at another session within a day, by kind and code."""
    here = {(row.kind, row.code): row.came_at for row in rows}
    if not here:
        return {}
    until = max(here.values()) + timedelta(days=1)
    others = select(Attendance).where(
        Attendance.session != session, Attendance.came_at.between(min(here.values()), until)
    )
    found: dict[tuple[str, str], datetime] = {}
    for other in db.scalars(others.order_by(Attendance.came_at, Attendance.session)):
        key = (other.kind, other.code)
        if key in here and (other.came_at, other.session) > (here[key], session):
            found.setdefault(key, other.came_at)
    return found


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


def first_of(session: SessionFact, zone: ZoneInfo) -> datetime:
    """Return the moment at which the first block begins; of a session without one, at which the session does."""
    return moment_of(zone, session.day, session.blocks[0].starts if session.blocks else session.starts)


def how_they_came(
    session: SessionFact, came: dict[tuple[str, str], Came], zone: ZoneInfo
) -> dict[tuple[str, str], tuple[str, ...]]:
    """Return in words who came late or left early, and which blocks that cost; only those of whom there is any."""
    found = {}
    for key, one in came.items():
        came_at, left_at = one.came_at.astimezone(zone), one.left_at.astimezone(zone) if one.left_at else None
        said = ["late"] if is_late(session, came_at) else []
        said += ["gone early"] if left_at and is_early(session, left_at) else []
        missed = blocks_missed(session, came_at, left_at) if said else ()
        if missed:
            said.append(f"not here in block{'' if len(missed) == 1 else 's'} {', '.join(map(str, missed))}")
        if said:
            found[key] = tuple(said)
    return found
