"""Answers as somebody in the story gives them: the best one, one that is merely wrong, or an unsafe one; pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked
from mentor_training.program.quiz_values import Pair, Scenario, Scene

BEST, WRONG, UNSAFE = "best", "wrong", "unsafe"


def answer_to(scenario: Scenario, how: str) -> Answer:
    """Return an answer to a scenario; where it has nothing unsafe to choose, the unsafe answer is a wrong one."""
    if scenario.kind == "put_in_order":
        return Ordered(_order(scenario, how))
    if scenario.kind == "read_measure":
        away = 0 if how == BEST else scenario.tolerance + 1
        return Measured(f"{scenario.value + away:g}", scenario.unit)
    if scenario.kind == "unfold":
        return Walked(_walk(scenario, how))
    return Picked(_picks(scenario, how))


def can_be_unsafe(scenario: Scenario) -> bool:
    """Say whether a scenario offers an unsafe option outright."""
    return any(option.standing == UNSAFE for option in scenario.options)


def _picks(scenario: Scenario, how: str) -> tuple[int, ...]:
    best = _places(scenario, BEST)
    if how == BEST:
        return best
    other = _places(scenario, UNSAFE) if how == UNSAFE else ()
    other = other or _places(scenario, WRONG) or _places(scenario, UNSAFE)
    return other[:1] if scenario.kind == "choose_one" or not best[1:] else (*best[1:], other[0])


def _places(scenario: Scenario, standing: str) -> tuple[int, ...]:
    return tuple(place for place, option in enumerate(scenario.options) if option.standing == standing)


def _order(scenario: Scenario, how: str) -> tuple[str, ...]:
    in_order = _sorted_steps([step.slug for step in scenario.steps], scenario.pairs)
    if how == BEST:
        return in_order
    if how == UNSAFE and any(pair.must for pair in scenario.pairs):
        return in_order[::-1]
    for first, then in pairwise(in_order):
        broken = [pair for pair in scenario.pairs if (pair.first, pair.then) == (first, then)]
        if broken and not any(pair.must for pair in broken):
            place = in_order.index(first)
            return (*in_order[:place], then, first, *in_order[place + 2 :])
    return in_order


def _sorted_steps(steps: Sequence[str], pairs: Sequence[Pair]) -> tuple[str, ...]:
    left, done = list(steps), list[str]()
    while left:
        free = next(slug for slug in left if not any(pair.then == slug and pair.first in left for pair in pairs))
        done.append(free)
        left.remove(free)
    return tuple(done)


def _walk(scenario: Scenario, how: str) -> tuple[int, ...]:
    scenes = {scene.slug: scene for scene in scenario.scenes}
    wanted = {BEST: "good", WRONG: "recoverable", UNSAFE: UNSAFE}[how]
    made: list[int] = []
    now: Scene | None = scenario.scenes[0]
    while now is not None:
        place = _choice(now, wanted) if len(made) < len(scenario.scenes) else _choice(now, "good")
        made.append(place)
        chosen = now.choices[place]
        now = scenes[chosen.to] if chosen.to and chosen.standing != UNSAFE else None
    return tuple(made)


def _choice(scene: Scene, wanted: str) -> int:
    standings = [choice.standing for choice in scene.choices]
    return standings.index(wanted) if wanted in standings else standings.index("good") if "good" in standings else 0
