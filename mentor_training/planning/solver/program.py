"""A program in whole numbers that is asked for one aim after the other, each kept for those that follow; pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import LinearConstraint

from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, SUPERVISED
from mentor_training.planning.solver.changes import ChangeRows
from mentor_training.planning.solver.goals import covering, keeping, staying, unsupervised, using
from mentor_training.planning.solver.highs import Answer, at_least, maximum
from mentor_training.planning.solver.model import Choices
from mentor_training.planning.solver.rows import Numbers, Rows
from mentor_training.planning.solver.watch import Share

Before = Mapping[str, Collection[str]]


@dataclass
class Program:
    """The aims as goals over the variables, the rows so far, and the best solution by the aims asked so far.

    `whole` is 1 for each variable in whole numbers; none is larger than 1. Variables beyond those of the choices, `d`,
    have each a row of their own among the last of the first limits.
    """

    goals: Mapping[str, Numbers]
    limits: list[LinearConstraint]
    whole: Numbers
    values: Numbers

    def begin(self, base: Numbers) -> None:
        """Begin from a solution of the choices; of each `d` as little as its row leaves."""
        count = len(self.whole) - len(base)
        self.values = np.concatenate([base, np.zeros(count)])
        over = self.limits[0].A @ self.values - self.limits[0].ub
        self.values[len(base) :] = np.maximum(0.0, over[len(over) - count :])

    def value(self, name: str) -> int:
        """Return what an aim is worth in the best solution so far."""
        return round(float(self.goals[name] @ np.round(self.values)))

    def best(self, name: str, bound: float, time: Share) -> Answer:
        """Return the best of an aim that is found in its time, and go on from there; `bound` is known of it."""
        now = Answer(self.values, self.value(name), bound)
        if not now.proven:
            found = maximum(self.goals[name], self.limits, self.whole, np.ones(len(self.whole)), time, self.values)
            now = better(now, found)
        self.values = now.values if now.values is not None else self.values
        return now

    def keep(self, name: str, value: int) -> None:
        """Let no later aim make this one worse than a value."""
        self.limits.append(at_least(self.goals[name], value))


def of_one_block(before: Before, choices: Choices, rows: Rows) -> Program:
    """Return the program of one block, given whom each participant covered in the block before has there."""
    size = sum(choices.sizes)
    goals = _goals(choices) | {CHANGES: staying(choices, before)}
    return Program(goals, [rows.constraint(size)], np.ones(size), np.zeros(size))


def of_blocks(choices: Choices, rows: Rows) -> Program:
    """Return the program of blocks that follow each other, with the mentor changes between them."""
    size = sum(choices.sizes)
    extra = ChangeRows(choices, rows, size)
    none = np.zeros(extra.add())
    goals = {name: np.concatenate([goal, none]) for name, goal in _goals(choices).items()}
    goals[CHANGES] = np.concatenate([np.zeros(size), none - 1])
    in_whole = np.concatenate([np.ones(size), none])
    return Program(goals, [rows.constraint(len(in_whole))], in_whole, np.zeros(len(in_whole)))


def _goals(choices: Choices) -> dict[str, Numbers]:
    return {
        COVERED: covering(choices), SUPERVISED: unsupervised(choices), KEPT: keeping(choices), HOURS: using(choices),
    }  # fmt: skip


def better(now: Answer, found: Answer) -> Answer:
    """Return the better of what there was and what was found, with the tighter bound; a bound is never passed."""
    best = found if found.values is not None and found.value >= now.value else now
    return replace(best, bound=max(float(best.value), min(now.bound, found.bound)))
