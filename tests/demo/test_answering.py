"""The answers that people of the story give, held against the shipped quizzes."""

from __future__ import annotations

from random import Random

import pytest

from mentor_training.database.making import TOP, example_folder
from mentor_training.demo.answering import BEST, UNSAFE, WRONG, answer_to, can_be_unsafe
from mentor_training.demo.marking import HALF_SEEN, NOT_YET, STOPPED, THERE, marks_for
from mentor_training.demo.story.second_edition import CHANGES
from mentor_training.learning.rules.answers import faults
from mentor_training.learning.rules.scores import FULL, outcome
from mentor_training.observing.rules.results import Circumstances, Marking
from mentor_training.observing.rules.results import outcome as outcome_of_marks
from mentor_training.program.catalog import Program
from mentor_training.program.quiz_values import Scenario
from mentor_training.program.reading import collect_files, read_program

COUNTED = Circumstances(days_late=0, calibrated=True, entitled=True)


@pytest.fixture(scope="module")
def shipped() -> Program:
    """Read the shipped program once."""
    files, _ = collect_files(example_folder() / "program", TOP / "modules", TOP / "quizzes")
    program, findings = read_program(files)
    assert program is not None, findings
    return program


def scenarios(program: Program) -> list[Scenario]:
    return [one for quiz in program.quizzes.values() for one in quiz.scenarios]


def test_the_best_answer_is_an_answer_and_scores_in_full(shipped: Program) -> None:
    """For every scenario of every kind."""
    for one in scenarios(shipped):
        answer = answer_to(one, BEST)
        assert not faults(one, answer), one.slug
        assert (outcome(one, answer).score, outcome(one, answer).unsafe) == (FULL, False), one.slug


def test_an_unsafe_answer_is_unsafe_where_there_is_something_unsafe_to_choose(shipped: Program) -> None:
    """For every scenario that offers it outright."""
    offered = [one for one in scenarios(shipped) if can_be_unsafe(one)]
    assert len(offered) > 10
    for one in offered:
        assert outcome(one, answer_to(one, UNSAFE)).unsafe, one.slug


def test_a_wrong_answer_to_a_choice_or_a_measure_scores_less(shipped: Program) -> None:
    """That is what makes an attempt fail for want of points."""
    for one in scenarios(shipped):
        if one.kind in ("choose_one", "choose_all", "read_measure"):
            answer = answer_to(one, WRONG)
            assert not faults(one, answer), one.slug
            assert outcome(one, answer).score < FULL, one.slug


@pytest.mark.parametrize(("how", "result"), [(THERE, "met"), (NOT_YET, "not-yet"), (HALF_SEEN, "not-countable")])
def test_marks_come_to_what_they_should(shipped: Program, how: str, result: str) -> None:
    """For every skill, whatever chance adds."""
    for skill in shipped.skills.values():
        for seed in range(20):
            given = marks_for(skill.criteria, how, Random(seed))  # noqa: S311 - a story
            marks = [Marking(given[number].marking) for number in sorted(given)]
            assert outcome_of_marks(skill.criteria, marks, COUNTED, shipped.policy).result == result, skill.slug


def test_a_stop_is_a_stop(shipped: Program) -> None:
    """Whatever else was done well."""
    criteria = shipped.skills["spotting-resistance"].criteria
    given = marks_for(criteria, STOPPED, Random(1))  # noqa: S311 - a story
    marks = [Marking(given[number].marking) for number in sorted(given)]
    assert outcome_of_marks(criteria, marks, COUNTED, shipped.policy).stopped


def test_the_second_edition_can_be_read_and_asks_for_the_module_again() -> None:
    """Its changes fit the shipped files, and what comes out has no fault."""
    files, _ = collect_files(example_folder() / "program", TOP / "modules", TOP / "quizzes")
    for name, changes in CHANGES.items():
        for old, new in changes:
            assert files[name].count(old) == 1, (name, old)
            files[name] = files[name].replace(old, new)
    program, findings = read_program(files)
    assert program is not None, findings
    assert program.modules["form-cues"].must_retake
