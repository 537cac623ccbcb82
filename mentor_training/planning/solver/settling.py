"""The best plan of one block, one aim after the other; pure but for the time it takes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, NAMES, SUPERVISED
from mentor_training.planning.solver.bounds import covered_bound, heaviest, weight_bound, weight_bound_keeping
from mentor_training.planning.solver.goals import covering, keeping, staying, unsupervised, using
from mentor_training.planning.solver.highs import Answer, at_least, maximum
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import MOST_ASKED_WHOLE, thinned
from mentor_training.planning.solver.watch import Watch

Before = Mapping[str, Collection[str]]


@dataclass(frozen=True)
class Settled:
    """What was found for one block: its placements, and what each aim, larger being better, is at the most.

    A bound holds among the plans of the block alone that are best by the aims before it, those of `firm` whatever the
    other blocks are.
    """

    placed: tuple[Placed, ...]
    bounds: Mapping[str, float]
    firm: Mapping[str, float]


def settle(question: Question, block: BlockQuestion, before: Before, watch: Watch, shares: int) -> Settled:
    """Return the best plan of one block, in its share of the time that is left.

    `before` says whom each participant who is covered in the block before has there.
    """
    whole = choices_of(question, [block])
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    firm = {
        COVERED: float(covered_bound(whole)), SUPERVISED: 0.0, CHANGES: 0.0,
        KEPT: float(weight_bound(whole, kept)), HOURS: float(weight_bound(whole, hours)),
    }  # fmt: skip
    if not whole.pairs:
        return Settled((), firm, firm)
    asked = _asked(whole, before)
    placed, answers = _aim_by_aim(asked, before, firm, watch, shares)
    if asked is not whole and answers[COVERED].value < firm[COVERED] and watch.left:
        again, anew = _aim_by_aim(whole, before, firm, watch, shares)
        if _values(anew) > _values(answers):
            placed, answers, asked = again, anew, whole
    if asked is not whole:
        tighter = weight_bound_keeping(whole, hours, kept, answers[KEPT].value)
        return Settled(placed, firm | {HOURS: min(firm[HOURS], float(tighter))}, firm)
    bounds = {name: answers[name].bound for name in NAMES}
    return Settled(placed, bounds, firm | {name: bounds[name] for name in (COVERED, SUPERVISED)})


def _values(answers: Mapping[str, Answer]) -> tuple[int, ...]:
    return tuple(answers[name].value for name in NAMES)


def _asked(whole: Choices, before: Before) -> Choices:
    """Return the choices to ask: all, or of a large floor those with most to choose from and what is wished for."""
    if len(whole.mentor) <= MOST_ASKED_WHOLE:
        return whole
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    volunteers = whole.question.floor.volunteers
    pairs = zip(whole.of_pair.tolist(), whole.mentor.tolist(), strict=True)
    known = np.array([volunteers[one] in before.get(whole.pairs[pair][1], ()) for pair, one in pairs], dtype=bool)
    return thinned(whole, (kept > 0) | known | heaviest(whole, kept * (1 + hours.max()) + hours))


def _aim_by_aim(
    choices: Choices, before: Before, bounds: Mapping[str, float], watch: Watch, shares: int
) -> tuple[tuple[Placed, ...], dict[str, Answer]]:
    """Make one aim as large as it can be, keep it there, and go on to the next."""
    size = sum(choices.sizes)
    goals: dict[str, Numbers] = {
        COVERED: covering(choices), SUPERVISED: unsupervised(choices), CHANGES: staying(choices, before),
        KEPT: keeping(choices), HOURS: using(choices),
    }  # fmt: skip
    limits, values, answers = [rows_of(choices).constraint(size)], np.zeros(size), {}
    for name, goal in goals.items():
        watch.say(name)
        now = Answer(values, round(float(goal @ values)), bounds[name])
        if not now.proven:
            # Most aims take a moment; whichever is hard gets half of what is left.
            seconds = watch.left / shares / 2
            now = better(now, maximum(goal, limits, np.ones(size), np.ones(size), seconds, values))
        answers[name] = now
        values = now.values if now.values is not None else values
        limits.append(at_least(goal, now.value))
    return choices.placed(values), answers


def better(now: Answer, found: Answer) -> Answer:
    """Return the better of what there was and what was found, with the tighter bound; a bound is never passed."""
    best = found if found.values is not None and found.value >= now.value else now
    return replace(best, bound=max(float(best.value), min(now.bound, found.bound)))
