"""Modules read section by section, cautions acknowledged, quizzes taken: most are passed, some not, two are held."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import count

from sqlalchemy.orm import Session

from mentor_training.demo.answering import BEST, UNSAFE, WRONG, answer_to, can_be_unsafe
from mentor_training.demo.cast import EAGER, SLOW, STEADY, Character, luck
from mentor_training.demo.stage import Stage
from mentor_training.learning.actions import (
    acknowledge_caution,
    close_attempt,
    keep_answer,
    read_section,
    record_talk,
    start_attempt,
)
from mentor_training.learning.rules.serving import draw
from mentor_training.learning.tables import Attempt
from mentor_training.program.catalog import Module
from mentor_training.program.queries import require_edition
from mentor_training.program.quiz_values import Quiz, Scenario

ORDER = ("safety", "communication", "spotting", "form-cues", "screening")
# What is read beside another one: an hour after it on the same evening, or the evening after.
SAME_EVENING, NEXT_EVENING = timedelta(minutes=75), timedelta(hours=24)
BESIDE = {
    "safety": (("conduct", SAME_EVENING),),
    "communication": (("confidentiality", SAME_EVENING),),
    "spotting": (("seizures", SAME_EVENING), ("behavior", NEXT_EVENING)),
    "form-cues": (("games", SAME_EVENING), ("transfers", NEXT_EVENING)),
}
BEGIN = {EAGER: date(2026, 8, 17), STEADY: date(2026, 8, 24), SLOW: date(2026, 9, 1)}
DAYS_APART = {EAGER: 3, STEADY: 4, SLOW: 8}
NEXT_DAY = timedelta(hours=25)

# How attempts end before the one that is passed; an unsafe one says in which item.
FEW_POINTS = "few-points"
FATES = {
    ("v-007", "communication"): (FEW_POINTS,),
    ("v-016", "spotting"): ("a-no-ends-the-touch",),
    ("v-023", "safety"): ("chest-signs", "chest-signs"),
    ("v-033", "form-cues"): (FEW_POINTS, FEW_POINTS, FEW_POINTS),
}
# With whom, and how many days after the hold began, a conversation is recorded; and who still waits for one.
TALKS = {("v-023", "safety"): ("o-02", 2)}
STILL_HELD = {("v-033", "form-cues")}
# Whose laptop is closed in the middle of a quiz; it goes on the next morning with what was answered.
INTERRUPTED = {("v-031", "communication"): timedelta(hours=13)}
SOME_FAIL = 0.08


@dataclass(frozen=True)
class Study:
    """One volunteer going through one module: which attempts fail first."""

    who: Character
    module: str
    fates: tuple[str, ...]


def learn(stage: Stage) -> None:
    """Put every newcomer's modules on the agenda, at their own pace."""
    for one in stage.cast.newcomers:
        chance = luck("learning", one.code)
        day = BEGIN[one.pace] + timedelta(days=chance.randint(0, 3))
        for module in _taken_by(one):
            evening = stage.moment(day, f"{chance.randint(16, 19)}:{chance.randint(0, 59):02}")
            study_at(stage, evening, Study(one, module, _fates(one, module)))
            for other, later in BESIDE.get(module, ()):
                study_at(stage, evening + later, Study(one, other, _fates(one, other)))
            day += timedelta(days=DAYS_APART[one.pace] + chance.randint(-1, 1))


def _taken_by(one: Character) -> tuple[str, ...]:
    """The duty that screening opens is not for everybody; those who are slow have not come to it yet."""
    if one.pace == SLOW:
        return ORDER[:4]
    return ORDER if luck("screening", one.code).random() < 0.6 else ORDER[:4]


def _fates(one: Character, module: str) -> tuple[str, ...]:
    fated = FATES.get((one.code, module))
    if fated is not None:
        return fated
    unlucky = luck("quiz", one.code, module).random() < SOME_FAIL and one.code != "v-001"
    return (FEW_POINTS,) if unlucky else ()


def study_at(stage: Stage, moment: datetime, study: Study) -> None:
    """Put the reading of a module and its quiz on the agenda, from a moment on."""
    stage.agenda.add(moment, _read, stage, study)


def _read(db: Session, at: datetime, stage: Stage, study: Study) -> None:
    module = _module(db, at, stage, study.module)
    by, zone, slug = study.who.actor, stage.zone, study.module
    moments = _minutes_after(at)
    for section in module.sections:
        stage.agenda.add(next(moments), read_section, by, zone, slug, section.slug)
    for caution in module.cautions:
        stage.agenda.add(next(moments), acknowledge_caution, by, zone, slug, caution.slug)
    stage.agenda.add(next(moments), _try, stage, study)


def _module(db: Session, at: datetime, stage: Stage, slug: str) -> Module:
    return require_edition(db, stage.day(at), at).program.modules[slug]


def _minutes_after(moment: datetime, minutes: int = 2) -> Iterator[datetime]:
    return (moment + timedelta(minutes=minutes * step) for step in count(1))


def _try(db: Session, at: datetime, stage: Stage, study: Study) -> None:
    quiz = require_edition(db, stage.day(at), at).program.quizzes[study.module]
    fate = study.fates[0] if study.fates else BEST
    seed = next(seed for seed in count(at.day * 100) if _serves(quiz, seed, fate))
    attempt = start_attempt(db, at, study.who.actor, stage.zone, quiz.slug, seed)
    moments = _minutes_after(at, 1)
    for place, slug in enumerate(attempt.scenarios):
        if place == len(attempt.scenarios) // 2:
            pause = INTERRUPTED.get((study.who.code, study.module), timedelta())
            moments = _minutes_after(next(moments) + pause, 1)
        scenario = quiz.scenario(slug)
        how = _how(scenario, place, fate)
        stage.agenda.add(next(moments), keep_answer, study.who.actor, attempt.id, slug, answer_to(scenario, how))
    stage.agenda.add(next(moments), _close, stage, study, attempt)


def _serves(quiz: Quiz, seed: int, fate: str) -> bool:
    if fate in (BEST, FEW_POINTS):
        return True
    served = (quiz.scenario(slug) for slug in draw(quiz, seed, ()))
    return any(one.item == fate and can_be_unsafe(one) for one in served)


def _how(scenario: Scenario, place: int, fate: str) -> str:
    if scenario.item == fate:
        return UNSAFE
    return WRONG if fate == FEW_POINTS and place in (0, 2, 4, 5) else BEST


def _close(db: Session, at: datetime, stage: Stage, study: Study, attempt: Attempt) -> None:
    closed = close_attempt(db, at, study.who.actor, stage.zone, attempt.id)
    if closed.passed:
        return
    later = Study(study.who, study.module, study.fates[1:])
    if not later.fates and (study.who.code, study.module) in STILL_HELD:
        return
    again = at + NEXT_DAY
    talk = TALKS.get((study.who.code, study.module)) if not later.fates else None
    if talk:
        observer, days = talk
        met = stage.moment(stage.day(at) + timedelta(days=days), "12:30")
        stage.agenda.add(met, _talk, stage, study, observer)
        again = met + timedelta(hours=6)
    stage.agenda.add(again, _try, stage, later)


def _talk(db: Session, at: datetime, stage: Stage, study: Study, observer: str) -> None:
    note = "We went through both answers. What makes a person's signs decide, and not their mood, is clear now."
    by = stage.cast.people[observer]
    record_talk(db, at, by, stage.zone, study.who.code, study.module, stage.day(at), note)
