"""Stand-downs, restrictions, waivers and withdrawals: each with a reason, each undone only by another record."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.clearance.spans import is_waivable
from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import (
    ABOUT_ANOTHER,
    LIFTED,
    RESTRICTED,
    STOOD_DOWN,
    VOIDED,
    WAIVED,
    WITHDRAWN,
    Fact,
)
from mentor_training.evidence.queries import facts_of, record_for
from mentor_training.evidence.tables import Record
from mentor_training.hours.taking_back import take_back
from mentor_training.journal.actions import take_turn
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition


def pause(
    db: Session,
    at: datetime,
    by: Actor,
    person: str,
    kind: str,
    scope: str,
    first_day: date,
    last_day: date | None,
    reason: str,
) -> Fact:
    """Stand a volunteer down, or note a restriction of their own: level 0 in the scope from its first day.

    `kind` is stood-down or restricted; the scope is a station's slug, `activity/TAG`, or empty for everything.
    """
    person_for(db, person)
    faults = [] if reason.strip() else ["Write the reason; it stays with the record."]
    if last_day and last_day < first_day:
        faults.append(f"It would end on {last_day}, before it begins on {first_day}.")
    if kind not in (STOOD_DOWN, RESTRICTED):
        faults.append(f"{kind!r} is neither a stand-down nor a restriction.")
    if not _scope_exists(db, at, scope, first_day):
        faults.append(f"There is no station or activity {scope!r} in the program.")
    if faults:
        raise Refused(*faults)
    return record(db, at, by.code, person, kind, scope, first_day, last_day, note=reason.strip())


def waive(
    db: Session, at: datetime, by: Actor, person: str, item: str, first_day: date, last_day: date, reason: str
) -> Fact:
    """Except a volunteer from one item that its file marks waivable; it is named a waiver wherever it counts."""
    person_for(db, person)
    program = require_edition(db, first_day, at).program
    faults = []
    if not is_waivable(program, item):
        waivable = ", ".join(f"paper/{slug}" for slug, paper in program.papers.items() if paper.waivable)
        faults.append(f"{item} cannot be waived; only {waivable or 'nothing'} can.")
    if last_day < first_day:
        faults.append(f"It would end on {last_day}, before it begins on {first_day}.")
    if not reason.strip():
        faults.append("Write the reason; it stays with the record.")
    if faults:
        raise Refused(*faults)
    return record(db, at, by.code, person, WAIVED, item, first_day, last_day, note=reason.strip())


def lift(db: Session, at: datetime, by: Actor, code: str, first_day: date, reason: str) -> Fact:
    """Lift a stand-down or restriction from a day on."""
    row = record_for(db, code)
    if row.kind not in (STOOD_DOWN, RESTRICTED):
        raise Refused(f"Record {code} is no stand-down or restriction; only those are lifted.")
    return _correct(db, at, by, row, LIFTED, first_day, reason)


def withdraw(db: Session, at: datetime, by: Actor, code: str, first_day: date, reason: str, void: bool) -> Fact:
    """Withdraw a record from a day on, or void it so that it was never held."""
    row = record_for(db, code)
    if row.kind in (STOOD_DOWN, RESTRICTED):
        raise Refused(f"Record {code} is a stand-down or restriction; lift it instead.")
    if row.kind in ABOUT_ANOTHER and not void:
        raise Refused(f"Record {code} corrects another one; it can only be voided.")
    return _correct(db, at, by, row, VOIDED if void else WITHDRAWN, first_day, reason)


def _correct(db: Session, at: datetime, by: Actor, row: Record, kind: str, first_day: date, reason: str) -> Fact:
    take_turn(db)
    faults = [] if reason.strip() else ["Write the reason; it stays with the record."]
    facts = facts_of(db, row.person, at)
    voided = effects(facts).voided
    faults += [
        f"Record {row.code} is {kind} from {fact.first_day} already, by {fact.code}."
        for fact in facts
        if fact.kind == kind and fact.refers_to == row.code and fact.first_day <= first_day and fact.code not in voided
    ]
    if faults:
        raise Refused(*faults)
    made = record(db, at, by.code, row.person, kind, row.item, first_day, refers_to=row.code, note=reason.strip())
    take_back(db, at, by.code, row.person)
    return made


def _scope_exists(db: Session, at: datetime, scope: str, day: date) -> bool:
    if not scope:
        return True
    stations = require_edition(db, day, at).program.stations
    activities = {tag for station in stations.values() for tag in station.activities}
    return scope in stations or (scope.startswith("activity/") and scope.removeprefix("activity/") in activities)
