"""Calibrations as they stand: the performances with their keys, what each observer scored, and what it came to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.observing.agreement.marks import Mark, Unit
from mentor_training.observing.rules.calibration import CalibrationResult, KeyMark, Progress, Spot, held_to_key
from mentor_training.observing.rules.results import Marking
from mentor_training.observing.tables import (
    Calibration,
    CalibrationClosing,
    CalibrationKey,
    CalibrationKeyMark,
    CalibrationMark,
    CalibrationPerformance,
    CalibrationRetirement,
    CalibrationScore,
    Standing,
)
from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, OBSERVER, Act, Actor
from mentor_training.people.queries import people
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Skill
from mentor_training.program.queries import known_editions

KEY = "key"


@dataclass(frozen=True)
class Staged:
    """One performance with the skill by whose criteria it is scored, and its key as far as it is agreed."""

    row: CalibrationPerformance
    skill: Skill
    agreed: CalibrationKey | None
    accepted: Mapping[int, tuple[str, ...]]

    @property
    def key(self) -> tuple[KeyMark, ...]:
        """Return the key, criterion by criterion; empty while it is not agreed."""
        return tuple(
            KeyMark(Spot(self.row.place, number), self.accepted[number], criterion.critical)
            for number, criterion in enumerate(self.skill.criteria, 1)
            if number in self.accepted
        )


@dataclass(frozen=True)
class CalibrationSet:
    """A calibration whole: its performances, who has begun to score it, who has closed it when, and if it was retired.

    `known_to` are those who know a key of it: who agreed one, also one that another replaced, who typed it in, and who
    set the set up.
    """

    row: Calibration
    staged: tuple[Staged, ...]
    begun: frozenset[str]
    closed: Mapping[str, datetime]
    least_share: float
    known_to: frozenset[str]
    retired: CalibrationRetirement | None = None

    @property
    def key(self) -> tuple[KeyMark, ...]:
        """Return the key of all performances."""
        return tuple(mark for one in self.staged for mark in one.key)

    @property
    def without_key(self) -> tuple[int, ...]:
        """Return the performances whose key is not agreed yet."""
        return tuple(one.row.place for one in self.staged if one.agreed is None)

    def staged_at(self, place: int) -> Staged:
        """Return one performance by its number."""
        found = next((one for one in self.staged if one.row.place == place), None)
        if found is None:
            raise NotFound(f"performance {place} of calibration {self.row.number}")
        return found


def calibration_for(db: Session, number: int) -> CalibrationSet:
    """Return a calibration by its number."""
    row = db.get(Calibration, number)
    if row is None:
        raise NotFound(f"calibration {number}")
    program = next(one.program for one in known_editions(db, row.recorded_at) if one.number == row.program_edition)
    keys = db.scalars(select(CalibrationKey).filter_by(calibration=number).order_by(CalibrationKey.number)).all()
    newest = {key.place: key for key in keys}
    performances = db.scalars(
        select(CalibrationPerformance).filter_by(calibration=number).order_by(CalibrationPerformance.place)
    )
    begun = db.scalars(select(CalibrationScore.observer).filter_by(calibration=number))
    closings = db.scalars(select(CalibrationClosing).filter_by(calibration=number))
    return CalibrationSet(
        row,
        tuple(_staged(db, one, program.skills[one.skill], newest.get(one.place)) for one in performances),
        frozenset(begun),
        {one.observer: one.closed_at for one in closings},
        program.policy.agreement_share,
        frozenset({row.recorded_by, *(code for key in keys for code in (*key.agreed_by, key.recorded_by))}),
        db.get(CalibrationRetirement, number),
    )


def _staged(db: Session, row: CalibrationPerformance, skill: Skill, agreed: CalibrationKey | None) -> Staged:
    marks = db.scalars(select(CalibrationKeyMark).filter_by(key=agreed.number)) if agreed else ()
    return Staged(row, skill, agreed, {mark.criterion: mark.accepted for mark in marks})


def calibrations(db: Session) -> list[CalibrationSet]:
    """Return all calibrations, the newest first."""
    return [
        calibration_for(db, number) for number in db.scalars(select(Calibration.number).order_by(-Calibration.number))
    ]


def sees_key(viewer: Actor, found: CalibrationSet) -> bool:
    """Say whether somebody may see the key and what others marked.

    Whoever might still score a set sees neither before their own scores are closed. A rule of this program.
    """
    if not viewer.may(Act.SEE_AGREEMENT):
        return False
    return OBSERVER not in viewer.roles or viewer.code in found.known_to or viewer.code in found.closed


def opened_for(db: Session, viewer: Actor, number: int) -> CalibrationSet:
    """Return a calibration with its key to somebody who may see it, or say that they may not yet."""
    found = calibration_for(db, number)
    if not sees_key(viewer, found):
        raise NotAllowed("a key, and the marks of others, before your own are in and closed")
    return found


def able_to_agree(db: Session) -> list[Person]:
    """Return who may agree on a key: everybody but those who are volunteers alone."""
    able = {OBSERVER, COURSE_INSTRUCTOR, COORDINATOR}
    return [row for row in people(db) if able & set(row.roles)]


def scored_by(db: Session, number: int, observer: str) -> dict[int, dict[int, CalibrationMark]]:
    """Return what an observer marked last on each performance, by performance and criterion."""
    query = select(CalibrationScore).filter_by(calibration=number, observer=observer)
    newest = {row.place: row.number for row in db.scalars(query.order_by(CalibrationScore.number))}
    return {
        place: {mark.criterion: mark for mark in db.scalars(select(CalibrationMark).filter_by(score=score))}
        for place, score in newest.items()
    }


def progress_of(db: Session, found: CalibrationSet, observer: str) -> Progress:
    """Return how far an observer is with a set."""
    scored = scored_by(db, found.row.number, observer)
    left = frozenset(one.row.place for one in found.staged) - scored.keys()
    return Progress(
        observer, found.known_to, found.without_key, found.row.day, left, observer in found.closed,
        found.retired is not None,
    )  # fmt: skip


def result_for(db: Session, found: CalibrationSet, observer: str) -> CalibrationResult | None:
    """Return what an observer came to; None while they have not closed the set."""
    if observer not in found.closed:
        return None
    scored = scored_by(db, found.row.number, observer)
    own = {Spot(place, number): mark.mark for place, marks in scored.items() for number, mark in marks.items()}
    return held_to_key(found.key, own, found.least_share)


def unit_of(staged: Staged, criterion: int) -> Unit:
    """Return a criterion of a performance as agreement names it: by number, and by skill and number."""
    return Unit(str(staged.row.place), f"{staged.skill.slug}/{criterion}")


def closed_marks(db: Session, found: CalibrationSet) -> dict[tuple[str, Unit], Mark]:
    """Return the marks of all who have closed the set; not seen is one of them."""
    marks: dict[tuple[str, Unit], Mark] = {}
    for observer in sorted(found.closed):
        scored = scored_by(db, found.row.number, observer)
        for one in found.staged:
            for number, mark in sorted(scored[one.row.place].items()):
                marks[observer, unit_of(one, number)] = Marking(mark.mark)
    return marks


def standings_on(db: Session, number: int) -> dict[str, Standing]:
    """Return the standings that rest on a calibration, by observer."""
    rows = db.scalars(select(Standing).filter_by(calibration=number).order_by(Standing.id))
    return {row.observer: row for row in rows}
