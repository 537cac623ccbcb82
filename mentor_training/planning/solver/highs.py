"""Asking HiGHS, through scipy, for one aim at a time; pure."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf, isfinite

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from mentor_training.planning.solver.rows import Numbers

# A bound of a whole number that lies this near to one is that one: the solver computes in floating point.
NEAR = 1e-5


@dataclass(frozen=True)
class Answer:
    """What the solver found for one aim: values of the variables, the aim's value and the best it could be.

    `values` is None where it found no plan in its time, or there is none.
    """

    values: Numbers | None
    value: int = 0
    bound: float = inf

    @property
    def proven(self) -> bool:
        """Say whether nothing is better."""
        return self.values is not None and self.bound <= self.value


def maximum(goal: Numbers, limits: list[LinearConstraint], whole: Numbers, upper: Numbers, seconds: float) -> Answer:
    """Return the largest value of a whole-numbered goal; to make something small, ask for the largest negative.

    `whole` is 1 for each variable in whole numbers, `upper` its upper bound; all begin at 0. `seconds` limits the time.
    """
    if seconds <= 0:
        return Answer(None)
    found = milp(
        -goal, constraints=limits, integrality=whole, bounds=Bounds(0, upper),
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )  # fmt: skip
    bound = _bound(found.mip_dual_bound) if found.mip_dual_bound is not None else inf
    if found.x is None:
        return Answer(None, bound=bound)
    value = round(float(goal @ np.round(found.x)))
    # An optimal end is within the solver's own tolerance of whole numbers.
    return Answer(found.x, value, float(value) if found.status == 0 else bound)


def _bound(dual: float) -> float:
    return float(floor(-dual + NEAR)) if isfinite(dual) else inf


def at_least(goal: Numbers, value: int) -> LinearConstraint:
    """Return the row that keeps an aim at its value for those that follow."""
    return LinearConstraint(goal.reshape(1, -1), ceil(value) - 0.5, inf)
