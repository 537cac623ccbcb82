"""Gathering the answer to how quiz items do: closed attempts as a table of scores, what was chosen in each item;
and what judges said of them.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, Text, select, type_coerce
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound
from mentor_training.learning.rules.answers import Answer, from_json
from mentor_training.learning.rules.items import Chosen, LookAt, Share, can_be_unsafe, choices, look_at, whole
from mentor_training.learning.rules.pass_mark import Proposal, Sheet, items_of, proposal
from mentor_training.learning.statistics import Figures, ItemFigures, figures
from mentor_training.learning.tables import Answer as AnswerRow
from mentor_training.learning.tables import Attempt, PassMarkJudge, PassMarkSetting
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.tables import Person
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.quiz_values import Quiz, Scenario


@dataclass(frozen=True)
class Bank:
    """A quiz in one edition of its module, and the edition of the program that holds its newest wording."""

    quiz: str
    edition: int
    published: PublishedProgram

    @property
    def wording(self) -> Quiz:
        """Return the quiz as it is worded there."""
        return self.published.program.quizzes[self.quiz]

    @property
    def title(self) -> str:
        """Return the title of the module."""
        return self.published.program.modules[self.wording.module].title

    @property
    def items(self) -> dict[str, tuple[Scenario, ...]]:
        """Return its items, each with its versions, as they are judged."""
        return items_of(self.wording.scenarios)


@dataclass(frozen=True)
class Item:
    """How one scenario did: its figures, how many chose something unsafe, where that can be, and what was chosen.

    `unanswered` is how many were asked and gave no answer, or did not walk a branching one to its end.
    """

    scenario: Scenario
    figures: ItemFigures
    unsafe: Share | None
    choices: tuple[Chosen, ...]
    unanswered: int

    @property
    def look_at(self) -> tuple[LookAt, ...]:
        """Return what is to be looked at for it."""
        return look_at(self.unsafe, self.figures.best)


@dataclass(frozen=True)
class BankReport:
    """How a bank did, by `people` volunteers in as many first attempts, or in all their attempts."""

    bank: Bank
    people: int
    all_attempts: bool
    figures: Figures
    items: tuple[Item, ...]

    @property
    def attempts(self) -> int:
        """Return the number of attempts behind the figures."""
        return self.figures.people


def banks(db: Session, viewer: Actor, editions: Iterable[PublishedProgram], until: datetime) -> tuple[Bank, ...]:
    """Return the banks that volunteers in the viewer's care were asked from, or that are published.

    In the order of the newest program, the newest edition of a module first; what it has no more stands last.
    """
    found: dict[tuple[str, int], Bank] = {}
    for published in sorted(editions, key=lambda one: -one.number):
        for quiz in published.program.quizzes.values():
            found.setdefault((quiz.slug, quiz.edition), Bank(quiz.slug, quiz.edition, published))
    query = select(Attempt.quiz, Attempt.module_edition).where(*_closed(_in_care(db, viewer), until)).distinct()
    tried = {(quiz, edition) for quiz, edition in db.execute(query)}
    order = {slug: at for at, slug in enumerate(dict.fromkeys(slug for slug, _ in found))}
    newest = {slug: max(edition for one, edition in found if one == slug) for slug in order}
    shown = [bank for key, bank in found.items() if key in tried or key[1] == newest[key[0]]]
    return tuple(sorted(shown, key=lambda bank: (order[bank.quiz], -bank.edition)))


def bank_for(found: Iterable[Bank], quiz: str, edition: int | None) -> Bank:
    """Return the bank of a quiz in an edition of its module, without one the newest."""
    of_quiz = [bank for bank in found if bank.quiz == quiz]
    if not of_quiz:
        raise NotFound(f"quiz {quiz}")
    if edition is None:
        return of_quiz[0]
    for bank in of_quiz:
        if bank.edition == edition:
            return bank
    known = ", ".join(str(bank.edition) for bank in of_quiz)
    raise NotFound(f"edition {edition} of the quiz {quiz} that anybody was asked from; there are {known}")


def report(
    db: Session, viewer: Actor, bank: Bank, editions: Iterable[PublishedProgram], until: datetime, all_attempts: bool
) -> BankReport:
    """Return how the items of a bank did in the closed attempts of volunteers in the viewer's care, until a moment.

    By default in each volunteer's first closed attempt from that bank: later ones come after the explanations. A
    scenario that was asked and not answered scored 0.
    """
    programs = {one.number: one for one in editions}
    answered = _answered(db, bank, _in_care(db, viewer), until, all_attempts)
    scenarios = _scenarios(bank, answered, programs)
    rows = [tuple(map(scores.get, scenarios)) for scores in answered.scores.values()]
    found = figures(rows, len(scenarios))
    items = (
        _item(bank, scenario, its, answered, programs)
        for scenario, its in zip(scenarios.values(), found.items, strict=True)
    )
    return BankReport(bank, len(set(answered.person.values())), all_attempts, found, tuple(items))


# ---- attempts ----


@dataclass(frozen=True)
class _Answered:
    """What was answered, by attempt: who, under which program edition, with which score for each scenario served."""

    person: dict[int, str]
    program: dict[int, int]
    scores: dict[int, dict[str, float]]
    unsafe: Counter[str]
    given: Counter[tuple[int, str, str]]

    def given_to(self, scenario: str, program: int) -> dict[Answer, int]:
        """Return the different answers to a scenario under a program, and how often each was given."""
        found: Counter[Answer] = Counter()
        for (number, slug, text), often in self.given.items():
            if (number, slug) == (program, scenario):
                found[from_json(json.loads(text))] += often
        return found


def _in_care(db: Session, viewer: Actor) -> tuple[str, ...] | None:
    """Return whose attempts a viewer sees in figures: the own sections'; None stands for all, for the coordinator."""
    if COORDINATOR in viewer.roles:
        return None
    rows = db.execute(select(Person.code, Person.sections))
    return tuple(code for code, sections in rows if not set(sections).isdisjoint(viewer.sections))


def _closed(people: tuple[str, ...] | None, until: datetime) -> list[ColumnElement[bool]]:
    conditions = [Attempt.closed_at <= until]
    return conditions if people is None else [*conditions, Attempt.person.in_(people)]


def _answered(
    db: Session, bank: Bank, people: tuple[str, ...] | None, until: datetime, all_attempts: bool
) -> _Answered:
    of_bank = [Attempt.quiz == bank.quiz, Attempt.module_edition == bank.edition, *_closed(people, until)]
    found = _Answered({}, {}, {}, Counter(), Counter())
    seen: set[str] = set()
    columns = (Attempt.id, Attempt.person, Attempt.program_edition, Attempt.scenarios)
    for number, person, program, scenarios in db.execute(
        select(*columns).where(*of_bank).order_by(Attempt.started_at, Attempt.id)
    ):
        if all_attempts or person not in seen:
            found.person[number], found.program[number] = person, program
            found.scores[number] = dict.fromkeys(scenarios, 0.0)
            seen.add(person)
    _add_answers(db, of_bank, found)
    return found


def _add_answers(db: Session, of_bank: list[ColumnElement[bool]], found: _Answered) -> None:
    # As text: equal answers are counted before one of each is read.
    text_of = type_coerce(AnswerRow.answer, Text)
    columns = (AnswerRow.attempt, AnswerRow.scenario, AnswerRow.score, AnswerRow.unsafe, text_of)
    unsafe, given = [], []
    for number, scenario, score, was_unsafe, text in db.execute(select(*columns).join(Attempt).where(*of_bank)):
        scores = found.scores.get(number)
        if scores is not None:
            scores[scenario] = score or 0.0
            given.append((found.program[number], scenario, text))
            if was_unsafe:
                unsafe.append(scenario)
    found.unsafe.update(unsafe)
    found.given.update(given)


# ---- wording ----


def _scenarios(bank: Bank, answered: _Answered, programs: Mapping[int, PublishedProgram]) -> dict[str, Scenario]:
    """Return the scenarios of a bank in its newest wording, and after them those that only older programs had."""
    found = {one.slug: one for one in bank.wording.scenarios}
    for number in sorted(set(answered.program.values()), reverse=True):
        for one in programs[number].program.quizzes[bank.quiz].scenarios:
            found.setdefault(one.slug, one)
    return found


def _item(
    bank: Bank, scenario: Scenario, its: ItemFigures, answered: _Answered, programs: Mapping[int, PublishedProgram]
) -> Item:
    """Count what was chosen, each answer read by the program that it was given under, equal wordings taken together."""
    times: Counter[tuple[str, str, str]] = Counter()
    whole_answers = 0
    for number in sorted(set(answered.program.values()) | {bank.published.number}, reverse=True):
        wording = {one.slug: one for one in programs[number].program.quizzes[bank.quiz].scenarios}.get(scenario.slug)
        if wording is not None:
            given = answered.given_to(scenario.slug, number)
            whole_answers += whole(wording, given)
            for one in choices(wording, given):
                times[one.text, one.standing, one.scene] += one.times
    unsafe = Share(answered.unsafe[scenario.slug], its.people) if can_be_unsafe(scenario) else None
    chosen = tuple(Chosen(text, standing, often, scene) for (text, standing, scene), often in times.items())
    return Item(scenario, its, unsafe, chosen, its.people - whole_answers)


# ---- pass marks ----


@dataclass(frozen=True)
class PassMark:
    """What judges once said of the items of a quiz, with the row that says when and of which items."""

    row: PassMarkSetting
    sheets: tuple[Sheet, ...]

    @property
    def proposal(self) -> Proposal:
        """Return what they propose."""
        return proposal(self.sheets)

    def says(self, day: date, sheets: Sequence[Sheet]) -> bool:
        """Say whether it is of that day and has just these judges and shares."""
        return self.row.day == day and self.sheets == tuple(sheets)


def pass_marks_of(db: Session, quiz: str, on: date, known_at: datetime) -> list[PassMark]:
    """Return what judges said of a quiz until a day, as known at a moment; the first was recorded last, and stands."""
    of_quiz = select(PassMarkSetting).where(PassMarkSetting.quiz == quiz, PassMarkSetting.day <= on)
    rows = db.scalars(of_quiz.where(PassMarkSetting.recorded_at <= known_at).order_by(PassMarkSetting.number.desc()))
    return [PassMark(row, _sheets_of(db, row.number)) for row in rows]


def _sheets_of(db: Session, setting: int) -> tuple[Sheet, ...]:
    rows = db.scalars(select(PassMarkJudge).where(PassMarkJudge.setting == setting).order_by(PassMarkJudge.place))
    return tuple(Sheet(row.name, tuple(row.percents)) for row in rows)


def reads_the_same(editions: Iterable[PublishedProgram], bank: Bank, number: int) -> bool:
    """Say whether the items of a bank read as they did in an edition of the program."""
    judged = next((one.program.quizzes.get(bank.quiz) for one in editions if one.number == number), None)
    return judged is not None and judged.scenarios == bank.wording.scenarios


def bank_to_judge(editions: Iterable[PublishedProgram], quiz: str) -> Bank:
    """Return the bank to be judged: the quiz in the newest edition that has it, in force or still to come."""
    having = [one for one in editions if quiz in one.program.quizzes]
    if not having:
        raise NotFound(f"quiz {quiz}")
    newest = max(having, key=lambda one: one.number)
    return Bank(quiz, newest.program.quizzes[quiz].edition, newest)
