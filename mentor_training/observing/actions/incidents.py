"""Reporting an incident, adding to it, and opening a review for it; a report is never changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.actions.reviews import open_review
from mentor_training.observing.queries.incidents import incident_for
from mentor_training.observing.queries.reviews import reviews_of_incident
from mentor_training.observing.tables import Incident, IncidentAddition, Review
from mentor_training.people.permissions import OBSERVER, VOLUNTEER, Act, Actor
from mentor_training.people.queries import people
from mentor_training.program.queries import require_edition

LONGEST_TEXT = 2000


@dataclass(frozen=True)
class Report:
    """What happened: facts only. No session, no block, no station and nobody leading are all possible."""

    day: date
    about: time
    what: str
    session: str = ""
    block: int | None = None
    station: str = ""
    led_by: str = ""
    involved: tuple[str, ...] = ()


def report_incident(db: Session, at: datetime, today: date, by: Actor, report: Report) -> Incident:
    """Record an incident once and for good; what is wrong in it is put right by an addition."""
    take_turn(db)
    if not by.may(Act.REPORT_INCIDENT):
        raise NotAllowed(Act.REPORT_INCIDENT.value)
    faults = list(_faults(db, at, today, report))
    if faults:
        raise Refused(*faults)
    row = Incident(
        number=(db.scalar(select(func.max(Incident.number))) or 0) + 1, session=report.session or None, day=report.day,
        about=report.about, block=report.block, station=report.station, led_by=report.led_by, involved=report.involved,
        what=report.what.strip(), recorded_at=at, recorded_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    write(db, at, by.code, "incident", str(row.number), {
        "day": row.day.isoformat(),
        "about": row.about.isoformat("minutes"),
        "session": row.session,
        "block": row.block,
        "station": row.station,
        "led_by": row.led_by,
        "involved": list(row.involved),
        "what": "sha256:" + digest(row.what),
    })  # fmt: skip
    return row


def add_to_incident(db: Session, at: datetime, by: Actor, number: int, what: str) -> IncidentAddition:
    """Add to an incident, or put something right in it; what was written first stays."""
    take_turn(db)
    incident_for(db, by, number)
    faults = list(_faults_of_text(what))
    if faults:
        raise Refused(*faults)
    next_number = (db.scalar(select(func.max(IncidentAddition.number))) or 0) + 1
    row = IncidentAddition(
        number=next_number, incident=number, what=what.strip(), recorded_at=at, recorded_by=by.code
    )  # fmt: skip
    db.add(row)
    db.flush()
    written = {"addition": next_number, "what": "sha256:" + digest(row.what)}
    write(db, at, by.code, "incident-added-to", str(number), written)
    return row


def review_for_incident(db: Session, at: datetime, by: Actor, number: int, person: str) -> Review:
    """Open a review of a volunteer whom an incident is about; one at a time for each."""
    take_turn(db)
    if not by.may(Act.REVIEW):
        raise NotAllowed(Act.REVIEW.value)
    row = incident_for(db, by, number)
    faults = [] if person in row.involved else [f"{person} does not stand in incident {number}."]
    if any(one.review.person == person and one.progress.is_open for one in reviews_of_incident(db, number)):
        faults.append("A review of them for this incident is open already.")
    if by.code == person:
        faults.append("Nobody works on or closes a review about themselves.")
    if faults:
        raise Refused(*faults)
    return open_review(db, at, by, person, "", incident=number)


def _faults(db: Session, at: datetime, today: date, report: Report) -> Iterator[str]:
    yield from _faults_of_text(report.what)
    if report.day > today:
        yield f"{report.day} is still ahead; write the day on which it happened."
    if report.session:
        yield from _faults_of_session(db, report)
    if report.station and report.station not in require_edition(db, min(report.day, today), at).program.stations:
        yield f"There is no station {report.station!r} in the program."
    roles = {row.code: set(row.roles) for row in people(db)}
    if report.led_by and not {VOLUNTEER, OBSERVER} & roles.get(report.led_by, set()):
        yield f"{report.led_by} is neither a volunteer nor an observer."
    for code in report.involved:
        if VOLUNTEER not in roles.get(code, set()):
            yield f"{code} is no volunteer."


def _faults_of_session(db: Session, report: Report) -> Iterator[str]:
    session = session_for(db, report.session)
    if session.day != report.day:
        yield f"Session {session.code} was on {session.day}, not on {report.day}."
    if report.block is not None and session.block(report.block) is None:
        yield f"Session {session.code} has no block {report.block}."


def _faults_of_text(what: str) -> Iterator[str]:
    if not what.strip():
        yield "Write what happened."
    if len(what) > LONGEST_TEXT:
        yield f"That has {len(what)} characters; {LONGEST_TEXT} are the most."
