"""Stages calibrations through the program's own actions: two performances of the small program, and who scores them."""

from __future__ import annotations

from datetime import date

from mentor_training.observing.actions.calibrations import agree_key, close, score, set_up
from mentor_training.observing.actions.standings import calibrate
from mentor_training.observing.rules.calibration import CalibrationResult, Performance
from mentor_training.observing.rules.results import GivenMark
from mentor_training.observing.tables import Calibration, CalibrationKey, CalibrationScore, Standing
from mentor_training.people.queries import actor_of, person_for
from tests.builders import FRIDAY, World
from tests.observing.floor import today

GUARDED = Performance("By the rail", "guarding", "Stands too far off.", "Clip 1 in the gym's folder")
LED = Performance("The start", "leading", "Nobody counts.", "Role-play by two colleagues")
# Of four criteria of guarding the first two are critical, of the two of leading the second.
KEY = ("done not-done done done|another-way", "done stopped")
AGREED_BY = ("i-01", "c-01")


def fill_staff(world: World) -> None:
    """Add a coordinator, two course instructors, two observers, and one who is both."""
    world.add_person("c-01", "coordinator", name="Wilhelmina Oduya")
    world.add_person("i-01", "course-instructor", name="Hadrian Mossop")
    world.add_person("i-02", "course-instructor", name="Ludovica Pennarossa")
    world.add_person("o-01", "observer", name="Sunniva Tallis")
    world.add_person("o-02", "observer", name="Barnaby Ostrowick")
    world.add_person("b-01", "observer;coordinator", name="Delphine Marchesault")


def stage(world: World, by: str = "i-01", day: date = FRIDAY, keyed: bool = True) -> Calibration:
    """Set a set of two performances up, with its keys."""
    with world.writing() as db:
        who = actor_of(person_for(db, by))
        row = set_up(db, world.clock.now(), today(world), who, "Before the term", day, [GUARDED, LED])
        number = row.number
    for place, words in enumerate(KEY if keyed else (), 1):
        agree(world, number, place, words)
    return row


def agree(
    world: World, number: int, place: int, words: str, by: str = "i-01", who: tuple[str, ...] = AGREED_BY
) -> CalibrationKey:
    """Agree on the key of one performance: a word a criterion, two with a bar between where either is right."""
    accepted = {criterion: tuple(word.split("|")) for criterion, word in enumerate(words.split(), 1)}
    with world.writing() as db:
        return agree_key(db, world.clock.now(), actor_of(person_for(db, by)), number, place, accepted, who)


def mark(world: World, observer: str, number: int, place: int, words: str) -> CalibrationScore:
    """Have an observer score one performance, a word a criterion."""
    marks = {criterion: GivenMark(word, "as agreed") for criterion, word in enumerate(words.split(), 1)}
    with world.writing() as db:
        by = actor_of(person_for(db, observer))
        return score(db, world.clock.now(), today(world), by, number, place, marks)


def finish(world: World, observer: str, number: int, *marked: str) -> CalibrationResult:
    """Have an observer score every performance and close the set."""
    for place, words in enumerate(marked, 1):
        mark(world, observer, number, place, words)
    with world.writing() as db:
        return close(db, world.clock.now(), today(world), actor_of(person_for(db, observer)), number)


def call_calibrated(world: World, by: str, number: int, observer: str, last_day: date) -> Standing:
    """Have somebody enter that an observer is calibrated on a result."""
    with world.writing() as db:
        who = actor_of(person_for(db, by))
        return calibrate(db, world.clock.now(), today(world), who, number, observer, last_day)
