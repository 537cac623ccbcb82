"""Observers score staged performances before the term; one misses an unsafe act, retrains, and passes another set."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.demo.stage import Stage
from mentor_training.observing.actions.calibrations import agree_key, close, score, set_up
from mentor_training.observing.actions.standings import calibrate
from mentor_training.observing.rules.calibration import Performance
from mentor_training.observing.rules.results import GivenMark, Marking
from mentor_training.program.queries import require_edition

PLAYERS = "Role-play by Hadrian Mossop and Ludovica Pennarossa, in the gym"
AUGUST = (
    Performance("One step at a time", "consented-help", "All as it should be; the wait is cut short once.", PLAYERS),
    Performance("Across the lane", "guarding-balance", "Catches a sway by the sleeve, steps crossed.", PLAYERS),
    Performance("A busy zone", "line-of-sight", "Looks at a phone, leaves without a hand-over.", PLAYERS),
)
SEPTEMBER = (
    Performance(
        "Along the rail", "guarding-balance", "The chair is missing; the fall is shown in words alone.", PLAYERS
    ),
    Performance("A quiet corner", "line-of-sight", "All as it should be; the wall is in front.", PLAYERS),
)
AGREED_BY = ("i-01", "i-02")
THROUGH = date(2027, 1, 31)
# What the key says other than done, by performance and criterion; the first of two is what most would choose.
AUGUST_KEY = {(1, 2): "reminded", (2, 3): "not-seen", (2, 4): "not-done;helped", (2, 5): "stopped", (3, 5): "not-done",
              (3, 7): "not-done"}  # fmt: skip
SEPTEMBER_KEY = {(1, 1): "not-done", (1, 3): "not-seen", (1, 6): "helped;not-done", (2, 3): "not-done"}
# What observers marked otherwise than the first mark of the key.
AUGUST_SLIPS = {
    "o-01": {(1, 2): "done"},
    "o-02": {(2, 4): "helped"},
    "o-03": {(1, 6): "reminded", (2, 3): "not-done"},
    "o-04": {(1, 7): "helped", (3, 4): "not-done", (2, 5): "not-done"},
    "o-05": {(1, 2): "done", (3, 5): "done", (3, 7): "reminded"},
}
SCORED = {"o-01": "2026-08-24", "o-02": "2026-08-25", "o-03": "2026-08-26", "o-04": "2026-08-27", "o-05": "2026-09-14"}


def calibrate_observers(stage: Stage) -> None:
    """Put both sets on the agenda: what four of them see from the end of August on counts, the fifth joins later."""
    at, add = stage.moment, stage.agenda.add
    add(at(date(2026, 8, 20), "10:00"), _stage, stage, 1, "Before the fall term", AUGUST, AUGUST_KEY)
    add(at(date(2026, 9, 21), "10:00"), _stage, stage, 2, "For whoever joins later", SEPTEMBER, SEPTEMBER_KEY)
    for observer, day in SCORED.items():
        add(at(date.fromisoformat(day), "17:30"), _score, stage, 1, observer, AUGUST_KEY, AUGUST_SLIPS[observer])
    add(at(date(2026, 9, 24), "16:00"), _score, stage, 2, "o-05", SEPTEMBER_KEY, {})
    for number, observer in enumerate(("o-01", "o-02", "o-03", "o-04")):
        add(at(date(2026, 8, 29), f"09:0{number}"), _calibrate, stage, 1, observer)
    add(at(date(2026, 9, 25), "08:00"), _calibrate, stage, 2, "o-05")


def _stage(
    db: Session, at: datetime, stage: Stage, number: int, title: str, performances: tuple[Performance, ...],
    key: dict[tuple[int, int], str],
) -> None:  # fmt: skip
    by, today = stage.cast.people[AGREED_BY[0]], stage.day(at)
    set_up(db, at, today, by, title, today, performances)
    skills = require_edition(db, today, at).program.skills
    for place, one in enumerate(performances, 1):
        criteria = range(1, len(skills[one.skill].criteria) + 1)
        accepted = {criterion: tuple(key.get((place, criterion), "done").split(";")) for criterion in criteria}
        agree_key(db, at, by, number, place, accepted, AGREED_BY)


def _score(
    db: Session, at: datetime, stage: Stage, number: int, observer: str, key: dict[tuple[int, int], str],
    slips: dict[tuple[int, int], str],
) -> None:  # fmt: skip
    by, today = stage.cast.people[observer], stage.day(at)
    performances = AUGUST if number == 1 else SEPTEMBER
    skills = require_edition(db, date(2026, 8, 20), at).program.skills
    for place, one in enumerate(performances, 1):
        criteria = range(1, len(skills[one.skill].criteria) + 1)
        marks = {criterion: _mark(key | slips, place, criterion) for criterion in criteria}
        score(db, at, today, by, number, place, marks)
    close(db, at, today, by, number)


def _mark(marks: dict[tuple[int, int], str], place: int, criterion: int) -> GivenMark:
    return GivenMark(Marking(marks.get((place, criterion), "done").partition(";")[0]))


def _calibrate(db: Session, at: datetime, stage: Stage, number: int, observer: str) -> None:
    calibrate(db, at, stage.day(at), stage.cast.coordinator, number, observer, THROUGH)
