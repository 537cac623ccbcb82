"""Setting calibrations up, agreeing their keys, scoring them, and what a result is good for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.observing.queries.calibrations import (
    CalibrationSet,
    able_to_agree,
    calibration_for,
    opened_for,
    progress_of,
    result_for,
    scored_by,
)
from mentor_training.observing.rules.calibration import (
    CalibrationResult,
    Performance,
    accepted_faults,
    objections_to_agreeing,
    objections_to_closing,
    objections_to_retiring,
    objections_to_scoring,
    objections_to_set,
)
from mentor_training.observing.rules.results import GivenMark, Marking, mark_faults
from mentor_training.observing.tables import (
    Calibration,
    CalibrationClosing,
    CalibrationKey,
    CalibrationKeyMark,
    CalibrationMark,
    CalibrationPerformance,
    CalibrationRetirement,
    CalibrationScore,
)
from mentor_training.people.permissions import Act, Actor
from mentor_training.program.queries import require_edition


def set_up(
    db: Session, at: datetime, today: date, by: Actor, title: str, day: date, performances: Sequence[Performance]
) -> Calibration:
    """Record a staged set, to be scored from `day` on by the criteria in force today; its keys are agreed next."""
    take_turn(db)
    _must(by, Act.SET_UP_CALIBRATION)
    published = require_edition(db, today, at)
    criteria = {slug: skill.criteria for slug, skill in published.program.skills.items()}
    if faults := objections_to_set(title, performances, criteria):
        raise Refused(*faults)
    row = Calibration(
        number=(db.scalar(select(func.max(Calibration.number))) or 0) + 1, title=title.strip(), day=day,
        program_edition=published.number, recorded_at=at, recorded_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    db.add_all(
        CalibrationPerformance(
            calibration=row.number, place=place, title=one.title.strip(), skill=one.skill, played=one.played.strip(),
            source=one.source.strip(),
        )
        for place, one in enumerate(performances, 1)
    )  # fmt: skip
    lines = canonical({"lines": [[title, *([one.title, one.played, one.source] for one in performances)]]})
    write(db, at, by.code, "calibration-set-up", str(row.number), {
        "day": day.isoformat(),
        "edition": row.program_edition,
        "skills": [one.skill for one in performances],
        "lines": "sha256:" + digest(lines),
    })  # fmt: skip
    return row


def agree_key(
    db: Session, at: datetime, by: Actor, number: int, place: int, accepted: Mapping[int, tuple[str, ...]],
    agreed_by: Sequence[str],
) -> CalibrationKey:  # fmt: skip
    """Record the key of one performance, as two people agreed it; another one replaces it until somebody has scored."""
    take_turn(db)
    _must(by, Act.SET_UP_CALIBRATION)
    found = calibration_for(db, number)
    staged = found.staged_at(place)
    able = [row.code for row in able_to_agree(db)]
    faults = list(objections_to_agreeing(agreed_by, able, bool(found.begun), found.retired is not None))
    faults += _numbered(accepted_faults(len(staged.skill.criteria), accepted))
    if faults:
        raise Refused(*faults)
    row = CalibrationKey(
        number=(db.scalar(select(func.max(CalibrationKey.number))) or 0) + 1, calibration=number, place=place,
        agreed_by=tuple(agreed_by), recorded_at=at, recorded_by=by.code,
    )  # fmt: skip
    db.add(row)
    db.flush()
    db.add_all(
        CalibrationKeyMark(key=row.number, criterion=criterion, accepted=marks) for criterion, marks in accepted.items()
    )
    write(db, at, by.code, "calibration-key", str(number), {
        "performance": place,
        "key": row.number,
        "marks": [list(accepted[criterion]) for criterion in sorted(accepted)],
        "agreed_by": list(agreed_by),
    })  # fmt: skip
    return row


def score(
    db: Session, at: datetime, today: date, by: Actor, number: int, place: int, marks: Mapping[int, GivenMark]
) -> CalibrationScore:
    """Record an observer's marks on one performance; marked again before the closing, the newest stand."""
    found = _scorable(db, by, number)
    staged = found.staged_at(place)
    faults = list(objections_to_scoring(progress_of(db, found, by.code), today))
    faults += _numbered(mark_faults(staged.skill.criteria, marks))
    if faults:
        raise Refused(*faults)
    row = CalibrationScore(
        number=(db.scalar(select(func.max(CalibrationScore.number))) or 0) + 1, calibration=number, place=place,
        observer=by.code, recorded_at=at,
    )  # fmt: skip
    db.add(row)
    db.flush()
    db.add_all(
        CalibrationMark(score=row.number, criterion=criterion, mark=mark.marking, way=_way(mark))
        for criterion, mark in marks.items()
    )
    write(db, at, by.code, "calibration-scored", by.code, {
        "calibration": number,
        "performance": place,
        "score": row.number,
        "marks": [marks[criterion].marking for criterion in sorted(marks)],
        "ways": {str(criterion): digest(_way(mark)) for criterion, mark in marks.items() if _way(mark)},
    })  # fmt: skip
    return row


def close(db: Session, at: datetime, today: date, by: Actor, number: int) -> CalibrationResult:
    """Close a set for its observer: their scores are final, and what they come to is journaled."""
    found = _scorable(db, by, number)
    if faults := objections_to_closing(progress_of(db, found, by.code), today):
        raise Refused(*faults)
    db.add(CalibrationClosing(calibration=number, observer=by.code, closed_at=at))
    db.flush()
    result = result_for(db, calibration_for(db, number), by.code)
    assert result is not None  # noqa: S101 - it has just been closed
    write(db, at, by.code, "calibration-closed", by.code, {
        "calibration": number,
        "scores": len(scored_by(db, number, by.code)),
        "criteria": result.criteria,
        "alike": result.alike,
        "acts": result.acts,
        "missed": len(result.missed),
        "passed": result.passed,
    })  # fmt: skip
    return result


def retire(db: Session, at: datetime, by: Actor, number: int, reason: str) -> CalibrationRetirement:
    """Retire a set, with the reason: nobody scores, closes or is calibrated on it any more; what was scored stays.

    Standings that rest on it go on until they are ended.
    """
    take_turn(db)
    _must(by, Act.SET_UP_CALIBRATION)
    found = opened_for(db, by, number)
    if faults := objections_to_retiring(reason, found.retired is not None):
        raise Refused(*faults)
    row = CalibrationRetirement(calibration=number, reason=reason.strip(), retired_at=at, retired_by=by.code)
    db.add(row)
    db.flush()
    write(db, at, by.code, "calibration-retired", str(number), {"reason": "sha256:" + digest(row.reason)})
    return row


def _must(by: Actor, act: Act) -> None:
    if not by.may(act):
        raise NotAllowed(act.value)


def _scorable(db: Session, by: Actor, number: int) -> CalibrationSet:
    take_turn(db)
    _must(by, Act.SCORE_CALIBRATION)
    return calibration_for(db, number)


def _numbered(faults: Mapping[int, str]) -> list[str]:
    return [f"Criterion {number}: {fault}" for number, fault in sorted(faults.items())]


def _way(mark: GivenMark) -> str:
    return mark.way.strip() if mark.marking == Marking.ANOTHER_WAY else ""
