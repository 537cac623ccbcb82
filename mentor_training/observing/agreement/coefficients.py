"""The coefficients of agreement, each for many samples at once; pure.

All take sums of paired units, and come to not-a-number where they are not defined: where no unit has two marks, or all
marks in paired units are one and the same, so that agreement could not have been otherwise.
"""

from __future__ import annotations

import numpy as np

from mentor_training.observing.agreement.sums import Numbers, Sums


def percent(found: Sums) -> Numbers:
    """Return the percentage of paired units in which all observers gave the same mark."""
    return 100 * _by(found.equal, found.paired)


def percent_of_pairs(found: Sums) -> Numbers:
    """Return the mean percentage of pairs of observers who gave the same mark; of two observers, the same as above."""
    return 100 * _by(found.shares, found.paired)


def cohen(found: Sums, weights: Numbers | None = None) -> Numbers:
    """Return Cohen's kappa of two observers (Educ Psychol Meas 1960;20:37-46).

    With `weights`, how bad each disagreement is, by the earlier observer's mark and the later one's: weighted kappa
    (Psychol Bull 1968;70:213-220).
    """
    marks = found.pairs.shape[1]
    weights = 1 - np.eye(marks) if weights is None else weights
    rows, columns = found.pairs.sum(axis=2), found.pairs.sum(axis=1)
    seen = (found.pairs * weights).sum(axis=(1, 2)) * rows.sum(axis=1)
    return _defined(1 - _by(seen, ((rows @ weights) * columns).sum(axis=1)), found)


def fleiss(found: Sums) -> Numbers:
    """Return Fleiss' kappa (Psychol Bull 1971;76:378-382).

    Where marks are missing, each unit's share of agreeing pairs counts the same, and so does its share of each mark:
    the generalization of Gwet, Handbook of Inter-Rater Reliability, 4th edition, 2014. With two observers this is
    Scott's pi.
    """
    chance = (_of_each(found) ** 2).sum(axis=1)
    return _beyond(chance, found)


def ac1(found: Sums) -> Numbers:
    """Return Gwet's AC1 (Br J Math Stat Psychol 2008;61:29-48), over the marks that occur in the whole table."""
    each = _of_each(found)
    marks = each.shape[1]
    return _beyond((each * (1 - each)).sum(axis=1) / max(1, marks - 1), found)


def alpha_nominal(found: Sums) -> Numbers:
    """Return Krippendorff's alpha, any two marks equally different.

    Krippendorff, Computing Krippendorff's Alpha-Reliability, 2011.
    """
    each, marks = _paired_marks(found), found.pairs.shape[1]
    number = each.sum(axis=1)
    seen = 2 * (found.pairs * (1 - np.eye(marks))).sum(axis=(1, 2))
    return _defined(1 - _by((number - 1) * seen, number**2 - (each**2).sum(axis=1)), found)


def alpha_ordinal(found: Sums) -> Numbers:
    """Return Krippendorff's alpha, marks as far from each other as there are marks given between them.

    The square of the marks from the one to the other, each end counted half, is the square of the difference between
    the two middles.
    """
    each = _paired_marks(found)
    number = each.sum(axis=1)
    middle = each.cumsum(axis=1) - each / 2 - number[:, None] / 2
    seen = 2 * (found.pairs * (middle[:, :, None] - middle[:, None, :]) ** 2).sum(axis=(1, 2))
    spread = 2 * (number * (each * middle**2).sum(axis=1) - (each * middle).sum(axis=1) ** 2)
    return _defined(1 - _by((number - 1) * seen, spread), found)


def linear_weights(marks: int) -> Numbers:
    """Return weights that make a disagreement as bad as the steps between the two marks are many."""
    steps = np.arange(marks, dtype=float)
    weights: Numbers = np.abs(steps[:, None] - steps)
    return weights


def _of_each(found: Sums) -> Numbers:
    return _by(found.of_each, found.rated[:, None])


def _paired_marks(found: Sums) -> Numbers:
    marks: Numbers = found.pairs.sum(axis=1) + found.pairs.sum(axis=2)
    return marks


def _beyond(chance: Numbers, found: Sums) -> Numbers:
    """Return how far agreement of pairs goes beyond chance, by how far it could."""
    seen = _by(found.shares, found.paired)
    return _defined(_by(seen - chance, 1 - chance), found)


def _defined(values: Numbers, found: Sums) -> Numbers:
    result: Numbers = np.where((_paired_marks(found) > 0).sum(axis=1) >= 2, values, np.nan)
    return result


def _by(above: Numbers, below: Numbers) -> Numbers:
    above, below = np.broadcast_arrays(above, below)
    shares: Numbers = np.divide(above, below, out=np.full(above.shape, np.nan), where=below != 0)
    return shares
