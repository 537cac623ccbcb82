"""Checking participants and volunteers in and out on the day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact, day_in_words
from mentor_training.clock import day_in
from mentor_training.errors import Refused, Stale
from mentor_training.journal.actions import write
from mentor_training.people.permissions import COORDINATOR, VOLUNTEER, Actor
from mentor_training.people.queries import person_for
from mentor_training.planning.actions.sessions import save_session
from mentor_training.planning.actions.turn import wait_for_turn
from mentor_training.planning.queries.coming import end_of
from mentor_training.planning.tables import Attendance

KINDS = ("participant", "volunteer")


@dataclass(frozen=True)
class Arrival:
    """What is noted of somebody's coming; `is_new` where it was noted just now, and not before."""

    kind: str
    code: str
    came_at: datetime
    left_at: datetime | None
    checked_by: str
    is_new: bool


def arrive(db: Session, at: datetime, by: Actor, session: str, kind: str, code: str, zone: ZoneInfo) -> Arrival:
    """Note that somebody came, or return what was noted before: a tag scanned twice counts once."""
    _session(db, at, by, session, kind, code, zone)
    row = db.get(Attendance, (session, kind, code))
    is_new = row is None
    row = row or check_in(db, at, by, session, kind, code, zone)
    return Arrival(kind, code, row.came_at, row.left_at, row.checked_by, is_new)


def expect(db: Session, at: datetime, by: Actor, session: str, volunteer: str) -> None:
    """Put a volunteer who has come on the list of a session where they were not expected; twice is once."""
    wait_for_turn(db, session)
    found, person = session_for(db, session), person_for(db, volunteer)
    if VOLUNTEER not in person.roles:
        raise Refused(f"{person.name} is no volunteer of this program, so nobody is checked in.")
    if volunteer not in found.volunteers:
        save_session(db, at, by, replace(found, volunteers=(*found.volunteers, volunteer)))


def check_in(db: Session, at: datetime, by: Actor, session: str, kind: str, code: str, zone: ZoneInfo) -> Attendance:
    """Note that somebody who is expected came: on the session's day, until it ends, and once."""
    found = _session(db, at, by, session, kind, code, zone)
    if at >= end_of(found, zone):
        raise Refused(f"The session ended at {found.ends:%H:%M}; who comes later is not checked in any more.")
    row = db.get(Attendance, (session, kind, code))
    if row:
        raise Refused(f"{code} was checked in already, at {row.came_at.astimezone(zone):%H:%M}.")
    row = Attendance(session=session, kind=kind, code=code, came_at=at, left_at=None, checked_by=by.code)
    db.add(row)
    db.flush()
    write(db, at, by.code, "came", code, {"session": session, "kind": kind})
    return row


def check_out(db: Session, at: datetime, by: Actor, session: str, kind: str, code: str, zone: ZoneInfo) -> Attendance:
    """Note that somebody left."""
    _session(db, at, by, session, kind, code, zone)
    row = _there(db, session, kind, code)
    if row.left_at:
        raise Refused(f"{code} was checked out already, at {row.left_at.astimezone(zone):%H:%M}.")
    if at < row.came_at:
        raise Refused(_clock_went_back(code, row.came_at.astimezone(zone), at.astimezone(zone)))
    row.left_at = at
    db.flush()
    write(db, at, by.code, "left", code, {"session": session, "kind": kind})
    return row


def _clock_went_back(code: str, came: datetime, now: datetime) -> str:
    return (
        f"{code} came at {came:%H:%M %Z}, and by the clock of this machine it is {now:%H:%M %Z} now; nobody leaves "
        "before they came. Put the clock right and check out then, or take the coming back where it was noted wrongly."
    )


def take_back(
    db: Session, at: datetime, by: Actor, session: str, kind: str, code: str, zone: ZoneInfo, seen: str = ""
) -> None:  # fmt: skip
    """Take back the last thing noted about somebody's coming, because it was noted by mistake.

    `seen` is what was noted last when the page was opened, `came` or `left`: refused where it is another thing now.
    """
    _session(db, at, by, session, kind, code, zone)
    row = _there(db, session, kind, code)
    what = "left" if row.left_at else "came"
    if seen and seen != what:
        showed = "leaving" if seen == "left" else "coming"
        raise Stale(f"Your page showed the {showed} of {code} as noted last; now it is: {_noted(row, zone)}.")
    if row.left_at:
        row.left_at = None
    else:
        db.delete(row)
    db.flush()
    write(db, at, by.code, "taken-back", code, {"session": session, "kind": kind, "what": what})


def _session(db: Session, at: datetime, by: Actor, code: str, kind: str, who: str, zone: ZoneInfo) -> SessionFact:
    wait_for_turn(db, code)
    found = session_for(db, code)
    if kind not in KINDS:
        raise Refused(f"{kind!r} is neither a participant nor a volunteer.")
    if COORDINATOR not in by.roles and by.code not in found.observers:
        raise Refused(f"Only the observers of session {code} and the coordinator check people in and out there.")
    if day_in(zone, at) != found.day:
        raise Refused(f"Session {code} is on {day_in_words(found.day)}; people are checked in and out on that day.")
    if who not in found.expected(kind):
        raise Refused(f"{who} is not expected at session {code}; add them to the session first.")
    return found


def _noted(row: Attendance, zone: ZoneInfo) -> str:
    left = f", left {row.left_at.astimezone(zone):%H:%M}" if row.left_at else ", not left"
    return f"came {row.came_at.astimezone(zone):%H:%M}{left}"


def _there(db: Session, session: str, kind: str, code: str) -> Attendance:
    row = db.get(Attendance, (session, kind, code))
    if row is None:
        raise Refused(f"{code} has not been checked in.")
    return row
