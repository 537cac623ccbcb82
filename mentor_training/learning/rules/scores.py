"""What answers to scenarios are worth, and whether an attempt passes. Scores are exact fractions from 0 to 1."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked, parse_number, walk
from mentor_training.program.quiz_values import Pair, Scenario

NOTHING = Fraction(0)
FULL = Fraction(1)


@dataclass(frozen=True)
class Outcome:
    """What one answer is worth, and whether an unsafe choice was made in it."""

    score: Fraction
    unsafe: bool = False


@dataclass(frozen=True)
class Result:
    """How an attempt ends. `unsafe` names the items (not their versions) in which an unsafe choice was made."""

    score: Fraction
    passed: bool
    unsafe: tuple[str, ...]
    outcomes: Mapping[str, Outcome]


def exact(number: float) -> Fraction:
    """Return the decimal number that somebody wrote in a file: 0.8 is 4/5, and not the binary number nearest to it."""
    return Fraction(str(number))


def outcome(scenario: Scenario, answer: Answer | None) -> Outcome:
    """Return what an answer is worth. Rules of this program; with no answer, nothing, and nothing unsafe.

    choose_one: 1 if right. choose_all: max(0, (right picks - wrong picks) / number of right options).
    put_in_order: kept pairs / all pairs; a broken pair marked `must` is an unsafe choice.
    read_measure: 1 if within `tolerance` of `value`, both in the scenario's unit, and the unit is right.
    unfold: good choices / choices made; an unsafe one makes it 0. A walk that has not come to an end is no answer yet.
    """
    if isinstance(answer, Picked):
        return _of_picks(scenario, answer)
    if isinstance(answer, Ordered):
        broken = broken_pairs(scenario, answer)
        kept = len(scenario.pairs) - len(broken)
        return Outcome(Fraction(kept, len(scenario.pairs)), any(pair.must for pair in broken))
    if isinstance(answer, Measured):
        return Outcome(FULL if is_within(scenario, answer) else NOTHING)
    return _of_walk(scenario, answer) if isinstance(answer, Walked) else Outcome(NOTHING)


def _of_picks(scenario: Scenario, answer: Picked) -> Outcome:
    picked = [scenario.options[place].standing for place in answer.picks]
    right = picked.count("best")
    of_all = sum(option.standing == "best" for option in scenario.options)
    unsafe = "unsafe" in picked
    if scenario.kind == "choose_one":
        return Outcome(Fraction(right), unsafe)
    return Outcome(max(NOTHING, Fraction(right - (len(picked) - right), of_all)), unsafe)


def _of_walk(scenario: Scenario, answer: Walked) -> Outcome:
    walked = walk(scenario, answer.choices)
    standings = [choice.standing for _, choice in walked.made]
    if "unsafe" in standings:
        return Outcome(NOTHING, unsafe=True)
    if walked.now is not None:
        return Outcome(NOTHING)
    return Outcome(Fraction(standings.count("good"), len(standings)))


def broken_pairs(scenario: Scenario, answer: Ordered) -> tuple[Pair, ...]:
    """Return the constraints that an order does not keep, in the order of the file."""
    place = {slug: at for at, slug in enumerate(answer.order)}
    return tuple(pair for pair in scenario.pairs if place[pair.first] > place[pair.then])


def is_within(scenario: Scenario, answer: Measured) -> bool:
    """Say whether a reading has the right unit and lies within the tolerance, its ends included."""
    number = parse_number(answer.value)
    if number is None or answer.unit != scenario.unit:
        return False
    return abs(number - exact(scenario.value)) <= exact(scenario.tolerance)


def result(scenarios: Sequence[Scenario], answers: Mapping[str, Answer], pass_mark: float) -> Result:
    """Return how an attempt ends: the mean over its scenarios; passed if that is at least `pass_mark` (0 to 1) and no
    unsafe choice was made.

    A rule of this program. That essential items cannot be bought back by a mean is the conjunctive standard of
    Yudkowsky and others, Academic Medicine 2015. ValueError if there are no scenarios.
    """
    if not scenarios:
        raise ValueError("an attempt has at least one scenario")
    outcomes = {one.slug: outcome(one, answers.get(one.slug)) for one in scenarios}
    score = sum((one.score for one in outcomes.values()), NOTHING) / len(scenarios)
    unsafe = tuple(one.item for one in scenarios if outcomes[one.slug].unsafe)
    return Result(score, score >= exact(pass_mark) and not unsafe, unsafe, outcomes)
