"""All blocks in one program, where they differ and only together tell how few mentor changes there can be; pure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, MORE_IS_BETTER, SUPERVISED, measured
from mentor_training.planning.solver.changes import ChangeRows
from mentor_training.planning.solver.goals import covering, keeping, unsupervised, using
from mentor_training.planning.solver.highs import Answer, at_least, maximum
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.program import better
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import MOST_ASKED_WHOLE
from mentor_training.planning.solver.watch import Watch

Bounds = dict[str, float]
BINDING = (CHANGES, KEPT, HOURS)


def bound_together(
    question: Question, blocks: Sequence[BlockQuestion], added: tuple[Placed, ...], bounds: Bounds, watch: Watch
) -> tuple[tuple[Placed, ...], Bounds]:
    """Return a plan of all blocks that is no worse by any aim in turn, with tighter bounds for those that bind blocks.

    Only where each block is proven by the aims before, and the floor is not too large for it; else what was given.
    """
    choices = choices_of(question, blocks)
    if not choices.pairs or len(choices.mentor) > MOST_ASKED_WHOLE:
        return added, bounds
    rows = rows_of(choices)
    extra = ChangeRows(choices, rows, sum(choices.sizes))
    goals = _goals(choices, extra.add())
    has = _worth(question, added)
    if any(has[name] < bounds[name] for name in (COVERED, SUPERVISED)):
        return added, bounds
    whole = np.concatenate([np.ones(sum(choices.sizes)), np.zeros(extra.count)])
    limits = [rows.constraint(len(whole)), *(at_least(goals[name], has[name]) for name in (COVERED, SUPERVISED))]
    for name in BINDING:
        watch.say(name)
        now = Answer(None, has[name], bounds[name])
        if now.value < now.bound:
            seconds = watch.left / 2
            now = better(now, maximum(goals[name], limits, whole, np.ones(len(whole)), seconds))
        if now.values is not None:
            added = choices.placed(now.values)
            has = _worth(question, added)
        bounds = bounds | {name: now.bound}
        limits.append(at_least(goals[name], now.value))
    return added, bounds


def _goals(choices: Choices, changes_counted: int) -> dict[str, Numbers]:
    """Return the aims on all variables, those of the changes at the end."""
    of_one = {COVERED: covering, SUPERVISED: unsupervised, KEPT: keeping, HOURS: using}
    none = np.zeros(changes_counted)
    goals = {name: np.concatenate([goal(choices), none]) for name, goal in of_one.items()}
    return goals | {CHANGES: np.concatenate([np.zeros(sum(choices.sizes)), none - 1])}


def _worth(question: Question, added: Sequence[Placed]) -> dict[str, int]:
    """Return each aim of what is added, larger being better; mentor changes are of all that is placed."""
    standing, whole = measured(question, question.standing), measured(question, (*question.standing, *added))
    signed = {name: (1 if name in MORE_IS_BETTER else -1) for name in whole}
    return {name: signed[name] * (whole[name] - (0 if name == CHANGES else standing[name])) for name in whole}
