"""What a closing derived, brought in line with attendance that is put right since: by further records alone."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.actions import withdraw
from mentor_training.evidence.actions import record
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import ATTENDED, PRACTICED, Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.closing import has_worked, stay_of
from mentor_training.planning.queries.coming import Stay, came_to
from mentor_training.planning.rules import Placed
from mentor_training.planning.tables import AttendanceCorrection, Closing
from mentor_training.program.queries import require_edition

# What was written of a participant's coming is not told in a volunteer's record.
OF_A_PARTICIPANT = "The attendance of a participant was put right; the pairing was no practice."
Stays = dict[tuple[str, str], Stay]
Item = tuple[str, str]


def bring_in_line(
    db: Session, at: datetime, by: Actor, session: SessionFact, closing: Closing, kind: str, code: str, reason: str,
    zone: ZoneInfo,
) -> None:  # fmt: skip
    """Void what a closed session no longer shows and record what it shows now, for all whom a correction is about.

    A volunteer's attendance and practice rest on their own coming; a pairing is practice only while both are there, so
    that a participant's coming decides the practice of whoever was placed with them. Nothing is overwritten.
    """
    stays = {key: stay_of(session, one, zone) for key, one in came_to(db, session.code).items()}
    derived, why = _moments_of(db, session.code, closing), reason if kind == "volunteer" else OF_A_PARTICIPANT
    for person in _whom_it_is_about(closing, kind, code):
        wanted = _shown(db, session, closing, person, stays, zone)
        facts = facts_of(db, person, at)
        there = _derived_before(facts, session, derived)
        for gone in sorted(there.keys() - wanted):
            withdraw(db, at, by, there[gone], session.day, why, void=True)
        for what, item in sorted(wanted - there.keys()):
            record(db, at, by.code, person, what, item, session.day)


def _whom_it_is_about(closing: Closing, kind: str, code: str) -> list[str]:
    if kind == "volunteer":
        return [code]
    return sorted({one["mentor"] for one in closing.floor["placements"] if one["participant"] == code})


def _moments_of(db: Session, session: str, closing: Closing) -> set[datetime]:
    """Return when a session's evidence was derived: at its closing and at each correction since.

    By these its practice is told from another session's of the same day, and from what came in with a register.
    """
    corrected = select(AttendanceCorrection.corrected_at).where(AttendanceCorrection.session == session)
    return {closing.closed_at, *db.scalars(corrected)}


def _derived_before(facts: Iterable[Fact], session: SessionFact, derived: set[datetime]) -> dict[Item, str]:
    facts = tuple(facts)
    voided = effects(facts).voided
    return {
        (fact.kind, fact.item): fact.code
        for fact in facts
        if fact.first_day == session.day
        and fact.code not in voided
        and ((fact.kind, fact.item) == (ATTENDED, session.code) or fact.kind == PRACTICED)
        and fact.recorded_at in derived
    }


def _shown(
    db: Session, session: SessionFact, closing: Closing, person: str, stays: Stays, zone: ZoneInfo
) -> set[Item]:  # fmt: skip
    """Return what a session shows of a volunteer: that they came, and what they practiced where they were cleared."""
    if ("volunteer", person) not in stays:
        return set()
    stations = require_edition(db, session.day, closing.closed_at).program.stations
    worked = (one for one in _placed(closing, person) if one.level and has_worked(session, one, stays, zone))
    skills = {skill for one in worked if one.station in stations for skill in stations[one.station].practices}
    return {(ATTENDED, session.code)} | {(PRACTICED, skill) for skill in skills}


def _placed(closing: Closing, person: str) -> list[Placed]:
    return [
        Placed(one["block"], one["station"], one["mentor"], one["role"], one["participant"], one["level"])
        for one in closing.floor["placements"]
        if one["mentor"] == person
    ]
