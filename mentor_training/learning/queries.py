"""Reading what was read, attempted and talked about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Select, bindparam, literal, select, union_all
from sqlalchemy.orm import InstrumentedAttribute as Column
from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.facts import COMPLETED, VOIDED, WITHDRAWN, Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.learning.rules.answers import Answer, from_json, is_whole
from mentor_training.learning.rules.completions import completions, counting, current_round
from mentor_training.learning.rules.editions import changes_since, retake
from mentor_training.learning.rules.holds import Hold, Permission, Tried, hold, permission
from mentor_training.learning.rules.reading import Progress
from mentor_training.learning.tables import Answer as AnswerRow
from mentor_training.learning.tables import Attempt, CautionAcknowledged, SectionRead, Talk
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import extra_time_of
from mentor_training.program.catalog import Module, Policy, Program
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.queries import as_published, known_editions
from mentor_training.program.quiz_values import Quiz, Scenario
from mentor_training.program.tables import Edition


@dataclass(frozen=True)
class Known:
    """What was known at a moment about the day looked at: the editions, and the program in force."""

    day: date
    moment: datetime
    zone: ZoneInfo
    editions: tuple[PublishedProgram, ...]
    published: PublishedProgram

    @property
    def program(self) -> Program:
        """Return the program in force on the day."""
        return self.published.program

    def module(self, slug: str) -> Module:
        """Return a module of the program in force."""
        if slug not in self.program.modules:
            raise NotFound(f"module {slug} in the program in force")
        return self.program.modules[slug]

    def quiz(self, slug: str) -> Quiz:
        """Return a quiz of the program in force."""
        if slug not in self.program.quizzes:
            raise NotFound(f"quiz {slug} in the program in force")
        return self.program.quizzes[slug]


def known(db: Session, moment: datetime, zone: ZoneInfo, day: date | None = None) -> Known:
    """Return what was known at a moment about a day, without one about the moment's own; refuse before any edition."""
    on = day or day_in(zone, moment)
    editions = known_editions(db, moment)
    published = in_force(editions, on)
    if published is None:
        raise Refused(f"No edition of the program is in force on {on:%Y-%m-%d}; the coordinator publishes one first.")
    return Known(on, moment, zone, editions, published)


# ---- reading ----


READ, ACKNOWLEDGED, PASSED = "read", "acknowledged", "passed"


def _done(what: str, name: Column[str], moment: Column[Any], edition: Column[int]) -> Select[str, str, Any]:
    table = name.class_
    return select(literal(what), name, moment).where(
        table.person == bindparam("person"),
        table.module == bindparam("module"),
        edition == bindparam("edition"),
        moment <= bindparam("known_at"),
    )


# All that a volunteer did of one edition of a module, as known at a moment: asked on every page about modules, so
# it is one question and is put together once.
DONE = union_all(
    _done(READ, SectionRead.section, SectionRead.moment, SectionRead.edition),
    _done(ACKNOWLEDGED, CautionAcknowledged.caution, CautionAcknowledged.moment, CautionAcknowledged.edition),
    _done(PASSED, Attempt.quiz, Attempt.closed_at, Attempt.module_edition).where(Attempt.passed.is_(True)),
)


def progress_of_all(db: Session, person: str, then: Known) -> tuple[Progress, ...]:
    """Return how far a volunteer is in every module of the program in force, in its order."""
    facts = _completion_facts(db, person, then.moment)
    quiz_of = then.program.quiz_of_module
    modules = then.program.modules.values()
    return tuple(_progress(db, person, one, quiz_of.get(one.slug), then, facts) for one in modules)


def progress_of(db: Session, person: str, then: Known, module: Module, quiz: Quiz | None) -> Progress:
    """Return how far a volunteer is in one edition of a module."""
    return _progress(db, person, module, quiz, then, _completion_facts(db, person, then.moment))


def _completion_facts(db: Session, person: str, known_at: datetime) -> tuple[Fact, ...]:
    return facts_of(db, person, known_at, (COMPLETED, WITHDRAWN, VOIDED))


def _progress(
    db: Session, person: str, module: Module, quiz: Quiz | None, then: Known, facts: tuple[Fact, ...]
) -> Progress:
    found = completions(module, facts, then.editions, then.zone)
    now = current_round(found, module.edition, then.moment)
    completed = [one.edition for one in found if one.ever_counted]
    about = {"person": person, "module": module.slug, "edition": module.edition, "known_at": then.moment}
    done: dict[str, list[tuple[str, datetime]]] = {READ: [], ACKNOWLEDGED: [], PASSED: []}
    for what, name, moment in map(tuple, db.execute(DONE, about)):
        if now.counts(moment):
            done[what].append((name, moment))
    return Progress(
        module,
        quiz,
        frozenset(section for section, _ in done[READ]),
        frozenset(caution for caution, _ in done[ACKNOWLEDGED]),
        min((moment for _, moment in done[PASSED]), default=None),
        counting(found, then.day),
        now,
        retake(module.slug, found, then.editions),
        changes_since(max(completed), module, then.editions) if completed else None,
    )


# ---- attempts ----


@dataclass(frozen=True)
class Sitting:
    """An attempt with the quiz of the edition it was started under, its scenarios as served, and the answers kept."""

    attempt: Attempt
    tried: Tried
    program: Program
    quiz: Quiz
    scenarios: tuple[Scenario, ...]
    answers: Mapping[str, Answer]

    def is_answered(self, scenario: Scenario) -> bool:
        """Say whether a scenario is answered, a branching one to its end."""
        return is_whole(scenario, self.answers.get(scenario.slug))

    @property
    def answered(self) -> int:
        """Return how many scenarios are answered."""
        return sum(self.is_answered(scenario) for scenario in self.scenarios)

    @property
    def first_unanswered(self) -> int:
        """Return the place, counted from 1, of the first scenario with no answer; 0 if all have one."""
        open_places = (at for at, one in enumerate(self.scenarios, 1) if not self.is_answered(one))
        return next(open_places, 0)


def attempt_for(db: Session, viewer: Actor, number: int) -> Attempt:
    """Return an attempt to the one whose it is; to anybody else there is none."""
    row = db.get(Attempt, number, populate_existing=True)
    if row is None or row.person != viewer.code:
        raise NotFound(f"attempt {number} of yours")
    return row


def sitting_for(db: Session, viewer: Actor, number: int) -> Sitting:
    """Return an attempt with all that belongs to it, to the one whose it is."""
    row = attempt_for(db, viewer, number)
    published = db.get_one(Edition, row.program_edition)
    program = as_published(db, published).program
    quiz = program.quizzes[row.quiz]
    rows = db.scalars(select(AnswerRow).where(AnswerRow.attempt == row.id).execution_options(populate_existing=True))
    answers = {one.scenario: from_json(one.answer) for one in rows}
    return Sitting(
        row,
        as_tried(row, extra_time_of(db, row.person)),
        program,
        quiz,
        tuple(quiz.scenario(slug) for slug in row.scenarios),
        answers,
    )


def answer_row(db: Session, attempt: int, scenario: str) -> AnswerRow | None:
    """Return the row that keeps the answer to one scenario."""
    return db.scalar(select(AnswerRow).filter_by(attempt=attempt, scenario=scenario))


def attempts_of(db: Session, person: str, quiz: str) -> list[Attempt]:
    """Return a person's attempts at a quiz, oldest first."""
    query = select(Attempt).filter_by(person=person, quiz=quiz)
    return list(db.scalars(query.order_by(Attempt.started_at, Attempt.id)))


def as_tried(row: Attempt, extra_time_percent: int) -> Tried:
    """Return an attempt as the rules see it, with the extra time of the one whose it is."""
    return Tried(row.started_at, row.closed_at, bool(row.passed), row.unsafe, extra_time_percent)


def tries_of(db: Session, person: str, quiz: str) -> list[Tried]:
    """Return a person's attempts at a quiz as the rules see them, oldest first."""
    extra = extra_time_of(db, person)
    return [as_tried(row, extra) for row in attempts_of(db, person, quiz)]


def talks_of(db: Session, person: str, quiz: str) -> list[datetime]:
    """Return the moments at which conversations about a quiz were recorded."""
    return list(db.scalars(select(Talk.moment).filter_by(person=person, quiz=quiz)))


def permission_of(db: Session, person: str, quiz: str, policy: Policy, now: datetime) -> Permission:
    """Return whether a person may start an attempt at a quiz now, and what stands in the way."""
    return permission(
        tries_of(db, person, quiz), talks_of(db, person, quiz), policy.failures_before_talk, policy.cool_down_hours, now
    )


# ---- holds ----


@dataclass(frozen=True)
class Held:
    """A volunteer whose further attempts at a quiz wait for a conversation."""

    person: str
    quiz: Quiz
    hold: Hold

    @property
    def sections(self) -> tuple[str, ...]:
        """Return the sections of the module that the items of unsafe choices point to."""
        items = self.hold.unsafe_twice
        found = (one.read_again for one in self.quiz.scenarios if one.item in items and one.read_again)
        return tuple(dict.fromkeys(found))


def held_for(db: Session, person: str, quiz: Quiz, policy: Policy, now: datetime) -> Held | None:
    """Return what holds a person's further attempts at a quiz, or None."""
    found = hold(tries_of(db, person, quiz.slug), talks_of(db, person, quiz.slug), policy.failures_before_talk, now)
    return Held(person, quiz, found) if found else None


def all_held(db: Session, program: Program, now: datetime) -> list[Held]:
    """Return everybody whose attempts at a quiz of the program wait for a conversation, the longest waiting first."""
    not_passed = select(Attempt.person, Attempt.quiz).where(Attempt.passed.is_not(True)).distinct()
    found = (_held_of(db, person, quiz, program, now) for person, quiz in db.execute(not_passed))
    return sorted(_without_none(found), key=lambda one: (one.hold.since, one.person))


def _held_of(db: Session, person: str, quiz: str, program: Program, now: datetime) -> Held | None:
    return held_for(db, person, program.quizzes[quiz], program.policy, now) if quiz in program.quizzes else None


def _without_none(found: Iterable[Held | None]) -> Iterable[Held]:
    return (one for one in found if one is not None)
