"""The result of an attempt, scenario by scenario: what was chosen, what that is called, why, and what to read again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from flask import redirect, render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.learning import queries
from mentor_training.learning.pages.blueprint import known_now, pages
from mentor_training.learning.queries import Sitting
from mentor_training.learning.rules import scores
from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked, walk
from mentor_training.learning.rules.scores import Outcome, broken_pairs, outcome
from mentor_training.people.access import db, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.catalog import Section
from mentor_training.program.quiz_values import Scenario


@dataclass(frozen=True)
class Line:
    """One thing that was chosen, what it is called, and why; `before` is the scene it was chosen in."""

    text: str
    standing: str = ""
    why: str = ""
    before: str = ""


@dataclass(frozen=True)
class Review:
    """One scenario of a closed attempt as its result page tells it."""

    scenario: Scenario
    outcome: Outcome
    lines: tuple[Line, ...]
    remarks: tuple[str, ...]
    read_again: Section | None


@pages.get("/attempt/<int:number>/result")
@guarded(Act.COMPLETE_MODULES)
def result(number: int) -> str | Response:
    """Show how an attempt ended, and why, scenario by scenario."""
    sitting = queries.sitting_for(db(), me(), number)
    if sitting.tried.is_open(now()):
        return redirect(url_for("learning.attempt", number=number))
    then = known_now()
    ended = scores.result(sitting.scenarios, sitting.answers, sitting.quiz.pass_mark)
    return render_template(
        "learning/result.html",
        sitting=sitting,
        quiz=sitting.quiz,
        module=sitting.program.modules[sitting.quiz.module],
        reviews=[review(sitting, scenario) for scenario in sitting.scenarios],
        points=sum((one.score for one in ended.outcomes.values()), Fraction(0)),
        score=ended.score,
        unsafe=len(ended.unsafe),
        asked=queries.permission_of(db(), me().code, sitting.quiz.slug, then.program.policy, now()),
        complete=_is_complete(sitting, then),
        still_there=sitting.quiz.slug in then.program.quizzes,
    )


def _is_complete(sitting: Sitting, then: queries.Known) -> bool:
    module = sitting.program.modules[sitting.quiz.module]
    return not queries.progress_of(db(), me().code, then, module, sitting.quiz).round.is_open


def review(sitting: Sitting, scenario: Scenario) -> Review:
    """Tell one scenario of a closed attempt."""
    answer = sitting.answers.get(scenario.slug)
    module = sitting.program.modules[sitting.quiz.module]
    again = next((one for one in module.sections if one.slug == scenario.read_again), None)
    lines, remarks = tuple(_lines(scenario, answer)), tuple(_remarks(scenario, answer))
    return Review(scenario, outcome(scenario, answer), lines, remarks, again)


def _lines(scenario: Scenario, answer: Answer | None) -> Iterator[Line]:
    if isinstance(answer, Picked):
        for option in (scenario.options[place] for place in answer.picks):
            yield Line(option.text, option.standing, option.why)
    elif isinstance(answer, Ordered):
        texts = {step.slug: step.text for step in scenario.steps}
        yield from (Line(texts[slug]) for slug in answer.order)
    elif isinstance(answer, Measured):
        yield Line(f"{answer.value} {answer.unit}")
    elif isinstance(answer, Walked):
        for scene, choice in walk(scenario, answer.choices).made:
            yield Line(choice.text, choice.standing, choice.why, scene.text)


def _remarks(scenario: Scenario, answer: Answer | None) -> Iterator[str]:
    if answer is None:
        yield "You gave no answer."
    elif isinstance(answer, Picked) and scenario.kind == "choose_all":
        yield from _left_out(scenario, answer)
    elif isinstance(answer, Ordered):
        texts = {step.slug: step.text.rstrip(".") for step in scenario.steps}
        for pair in broken_pairs(scenario, answer):
            must = ", without exception: the other way round is unsafe" if pair.must else ""
            yield f"\u201c{texts[pair.first]}\u201d comes before \u201c{texts[pair.then]}\u201d{must}."
    elif isinstance(answer, Measured):
        within = f", give or take {scenario.tolerance:g} {scenario.unit}" if scenario.tolerance else ""
        yield f"The reading is {scenario.value:g} {scenario.unit}{within}."
    elif isinstance(answer, Walked) and walk(scenario, answer.choices).now is not None:
        yield "You did not walk it to its end, so that it counts as not answered."


def _left_out(scenario: Scenario, answer: Picked) -> Iterator[str]:
    right = sum(option.standing == "best" for option in scenario.options)
    found = sum(scenario.options[place].standing == "best" for place in answer.picks)
    if found < right:
        yield f"You found {found} of the {right} right ones."
