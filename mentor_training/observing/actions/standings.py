"""Keeping what observers are: calibrated, and entitled to skills."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.observing.queries.calibrations import calibration_for, result_for, standings_on
from mentor_training.observing.queries.standings import observer_for
from mentor_training.observing.rules.calibration import objections_to_calibrating, objections_to_calibrating_without
from mentor_training.observing.rules.standing import CALIBRATED, ENDS, EVERY_SKILL, GIVEN
from mentor_training.observing.tables import Standing
from mentor_training.people.permissions import Act, Actor
from mentor_training.program.queries import require_edition


def set_standing(
    db: Session,
    at: datetime,
    by: Actor,
    observer: str,
    kind: str,
    skill: str,
    first_day: date,
    last_day: date | None = None,
    reason: str = "",
) -> Standing:
    """Enter that an observer is `calibrated`, or `entitled` to a skill (`*`: to every one), for its days.

    An observer is calibrated for all skills at once; here without a calibration, and so with the reason.
    """
    _take_turn_as(db, by)
    faults = _faults(db, at, kind, skill, first_day)
    if kind == CALIBRATED:
        faults += objections_to_calibrating_without(reason, by.code, observer)
    if kind not in GIVEN:
        faults.append(f"{kind!r} is no standing; it is calibrated or entitled.")
    if last_day and last_day < first_day:
        faults.append(f"It would end on {last_day}, before it begins on {first_day}.")
    if faults:
        raise Refused(*faults)
    if kind == CALIBRATED:
        return _enter(db, at, by, observer, kind, EVERY_SKILL, first_day, last_day, reason=reason.strip())
    return _enter(db, at, by, observer, kind, skill, first_day, last_day)


def end_standing(
    db: Session, at: datetime, by: Actor, observer: str, kind: str, skill: str, first_day: date
) -> Standing:
    """Enter that an observer is no longer calibrated, or no longer entitled to a skill, from a day on."""
    _take_turn_as(db, by)
    faults = _faults(db, at, kind, skill, first_day)
    if kind not in ENDS:
        faults.append(f"{kind!r} is no standing; it is calibrated or entitled.")
    if faults:
        raise Refused(*faults)
    return _enter(db, at, by, observer, ENDS[kind], EVERY_SKILL if kind == CALIBRATED else skill, first_day, None)


def calibrate(
    db: Session, at: datetime, today: date, by: Actor, number: int, observer: str, last_day: date
) -> Standing:
    """Enter that an observer who passed a calibration is calibrated, from today through a day, resting on it."""
    _take_turn_as(db, by)
    found = calibration_for(db, number)
    result, given = result_for(db, found, observer), observer in standings_on(db, number)
    faults = objections_to_calibrating(result, by.code, observer, given, today, last_day, found.retired is not None)
    if faults:
        raise Refused(*faults)
    return _enter(db, at, by, observer, CALIBRATED, EVERY_SKILL, today, last_day, number)


def _take_turn_as(db: Session, by: Actor) -> None:
    take_turn(db)
    if not by.may(Act.KEEP_STANDINGS):
        raise NotAllowed(Act.KEEP_STANDINGS.value)


def _faults(db: Session, at: datetime, kind: str, skill: str, first_day: date) -> list[str]:
    skills = require_edition(db, first_day, at).program.skills
    if kind == CALIBRATED or skill == EVERY_SKILL or skill in skills:
        return []
    return [f"There is no skill {skill!r} in the program on {first_day}."]


def _enter(
    db: Session, at: datetime, by: Actor, observer: str, kind: str, skill: str, first_day: date, last_day: date | None,
    calibration: int | None = None, reason: str = "",
) -> Standing:  # fmt: skip
    observer_for(db, observer)
    row = Standing(
        observer=observer, kind=kind, skill=skill, first_day=first_day, last_day=last_day, recorded_at=at,
        recorded_by=by.code, calibration=calibration, reason=reason,
    )  # fmt: skip
    db.add(row)
    db.flush()
    write(db, at, by.code, "standing", observer, {
        "standing": row.id,
        "kind": kind,
        "skill": skill,
        "first_day": first_day.isoformat(),
        "last_day": last_day.isoformat() if last_day else None,
        **({} if calibration is None else {"calibration": calibration}),
        **({"reason": "sha256:" + digest(reason)} if reason else {}),
    })  # fmt: skip
    return row
