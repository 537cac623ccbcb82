"""The large-sample standard errors of kappa, weighted or not; pure.

Fleiss, Cohen and Everitt, Psychol Bull 1969;72:323-327.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from mentor_training.observing.agreement.sums import Numbers


def error_of_kappa(table: Numbers, weights: Numbers | None = None) -> float | None:
    """Return the standard error of kappa from a cross table; `weights` say how bad each disagreement is.

    Holds where every unit is a performance of its own. Not defined where kappa is not.
    """
    agreement, shares, expected, around = _parts(table, weights)
    chance = float((expected * agreement).sum())
    if not chance < 1:
        return None
    kappa = (float((shares * agreement).sum()) - chance) / (1 - chance)
    squares = float((shares * (agreement - around * (1 - kappa)) ** 2).sum())
    return _root(squares - (kappa - chance * (1 - kappa)) ** 2, chance, table)


def error_by_chance(table: Numbers, weights: Numbers | None = None) -> float | None:
    """Return the standard error that kappa would have if observers agreed by chance alone: to test it against 0."""
    agreement, _, expected, around = _parts(table, weights)
    chance = float((expected * agreement).sum())
    if not chance < 1:
        return None
    return _root(float((expected * (agreement - around) ** 2).sum()) - chance**2, chance, table)


def _parts(table: Numbers, weights: Numbers | None) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Return how good each agreement is, from 0 to 1, the shares of the cells, those by chance, and mean weights."""
    weights = 1 - np.eye(len(table)) if weights is None else weights
    agreement: Numbers = 1 - weights / (float(weights.max()) or 1.0)
    shares: Numbers = table / table.sum() if table.any() else np.full(table.shape, np.nan)
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    around: Numbers = (agreement @ columns)[:, None] + rows @ agreement
    return agreement, shares, np.outer(rows, columns), around


def _root(variance: float, chance: float, table: Numbers) -> float:
    # Where agreement is perfect the variance is 0, and rounding may leave it a hair below.
    return sqrt(max(0.0, variance) / float(table.sum())) / (1 - chance)
