"""Putting right, after the day, who came to a session and when; append-only, and what was stated stays stated."""

from __future__ import annotations

from datetime import datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.errors import Refused
from mentor_training.hours.actions import enter_session
from mentor_training.hours.tables import HoursEntry
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.planning.actions.coming import KINDS
from mentor_training.planning.actions.rederiving import bring_in_line
from mentor_training.planning.queries.coming import Came, Stay, came_to, end_of, moment_of
from mentor_training.planning.queries.plan import closing_of
from mentor_training.planning.tables import AttendanceCorrection

PUT_RIGHT = "attendance put right after the session was closed"
Times = tuple[time, time]


def correct_attendance(
    db: Session, at: datetime, by: Actor, session: str, kind: str, code: str, times: Times | None, reason: str,
    zone: ZoneInfo,
) -> AttendanceCorrection:  # fmt: skip
    """Put right from when to when somebody was at a session, or (None) that they did not come, with the reason.

    Once the session is over; before, the list at the door does it. Where the session is closed, attendance and practice
    become evidence or are voided, a participant's with the practice of whoever was placed with them; an hours entry is
    made where there is none, which waits for approval, and those that there are stay as they are.
    """
    take_turn(db)
    found, before = session_for(db, session), came_to(db, session)
    stay = _stay(found, kind, code, times, zone) if times else None
    faults = _faults(by, found, kind, code, at, reason, before.get((kind, code)), stay, zone)
    if faults:
        raise Refused(*faults)
    row = AttendanceCorrection(
        session=session, kind=kind, code=code, came_at=stay.came_at if stay else None,
        left_at=stay.left_at if stay else None, reason=reason.strip(), corrected_at=at, corrected_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    told = {"session": session, "kind": kind, "came_at": _written(row.came_at), "left_at": _written(row.left_at)}
    write(db, at, by.code, "attendance-corrected", code, told | {"reason": "sha256:" + digest(row.reason)})
    closing = closing_of(db, session)
    if closing:
        bring_in_line(db, at, by, found, closing, kind, code, row.reason, zone)
        if stay and kind == "volunteer":
            _hours_where_none(db, at, by, found, code, stay, zone)
    return row


def _written(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _stay(session: SessionFact, kind: str, code: str, times: Times, zone: ZoneInfo) -> Stay:
    came_at, left_at = (moment_of(zone, session.day, one) for one in times)
    return Stay(kind, code, came_at, left_at, PUT_RIGHT)


def _faults(
    by: Actor, session: SessionFact, kind: str, code: str, at: datetime, reason: str, before: Came | None,
    stay: Stay | None, zone: ZoneInfo,
) -> list[str]:  # fmt: skip
    faults = [] if COORDINATOR in by.roles else ["Only the coordinator puts attendance right after the day."]
    if kind not in KINDS or code not in session.expected(kind):
        faults.append(f"{code} was not expected at session {session.code}.")
    if at < end_of(session, zone):
        faults.append(f"Until {session.ends:%H:%M} the list at the door puts it right.")
    if not reason.strip():
        faults.append("Write the reason; it stays with the correction.")
    if stay and stay.left_at <= stay.came_at:
        faults.append("They left before they came; write the times of the day on which it was.")
    stands = (before.came_at, before.left_at) if before else None
    if stands == ((stay.came_at, stay.left_at) if stay else None):
        faults.append("This is what stands already.")
    return faults


def _hours_where_none(
    db: Session, at: datetime, by: Actor, session: SessionFact, person: str, stay: Stay, zone: ZoneInfo
) -> None:  # fmt: skip
    entered = select(HoursEntry.id).where(HoursEntry.person == person, HoursEntry.about == session.code)
    if db.scalar(entered.limit(1)) is None:
        times = (stay.came_at.astimezone(zone), stay.left_at.astimezone(zone))
        enter_session(db, at, by.code, person, session.code, session.day, *times, PUT_RIGHT)
