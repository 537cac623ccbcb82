"""All coefficients of agreement of a table of marks, each with its interval; pure.

Intervals are of 95 percent. Cohen's kappa has that of its large-sample standard error where every unit is a performance
of its own. All others are percentile intervals of a bootstrap over performances (Efron, Ann Stat 1979;7:1-26):
performances and not units are drawn, because criteria marked in the same performance are not independent.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import isnan
from statistics import NormalDist

import numpy as np

from mentor_training.observing.agreement import coefficients
from mentor_training.observing.agreement.errors import error_of_kappa
from mentor_training.observing.agreement.marks import Marks
from mentor_training.observing.agreement.sums import Numbers, Sums, sums

SAMPLES = 2000
SEED = 1
CONFIDENCE = 0.95
# How many numbers may lie in memory at once; what is beyond is drawn in turns.
AT_ONCE = 4_000_000


class How(StrEnum):
    """How an interval was made."""

    BOOTSTRAP = "bootstrap"
    FORMULA = "formula"


@dataclass(frozen=True)
class Figure:
    """A coefficient and its interval; `low` and `high` are None where none can be made.

    `undefined` counts the samples in which the coefficient was not defined, and which the interval leaves out.
    """

    value: float
    low: float | None = None
    high: float | None = None
    how: How = How.BOOTSTRAP
    undefined: int = 0


@dataclass(frozen=True)
class Figures:
    """Every coefficient; None where it is not defined. Percentages run from 0 to 100, all else up to 1.

    `percent` is of units in which all who marked them agree, `percent_of_pairs` of pairs of observers who do.
    `shares` is how large a part of all marks each mark of the scale is.
    """

    percent: Figure | None
    percent_of_pairs: Figure | None
    cohen: Figure | None
    cohen_weighted: Figure | None
    fleiss: Figure | None
    alpha_nominal: Figure | None
    alpha_ordinal: Figure | None
    ac1: Figure | None
    shares: tuple[float, ...]
    performances: int
    paired: int
    seed: int
    samples: int


ANY: Mapping[str, Callable[[Sums], Numbers]] = {
    "percent": coefficients.percent,
    "percent_of_pairs": coefficients.percent_of_pairs,
    "fleiss": coefficients.fleiss,
    "alpha_nominal": coefficients.alpha_nominal,
    "alpha_ordinal": coefficients.alpha_ordinal,
    "ac1": coefficients.ac1,
}
OF_TWO: Mapping[str, Callable[[Sums], Numbers]] = {
    "cohen": coefficients.cohen,
    "cohen_weighted": lambda found: coefficients.cohen(found, coefficients.linear_weights(found.pairs.shape[1])),
}


def figures(marks: Marks, seed: int = SEED, samples: int = SAMPLES) -> Figures:
    """Return every coefficient with its interval; the same seed draws the same samples."""
    by_performance = sums(marks)
    whole = by_performance.sampled(np.ones((1, len(by_performance.rated))))
    two = len(marks.observers) == 2
    wanted = dict(ANY) | (dict(OF_TWO) if two else {})
    drawn = _drawn(by_performance, wanted, seed, samples)
    found = {name: _figure(float(act(whole)[0]), drawn[name]) for name, act in wanted.items()}
    if two and 1 < len(marks.units) == len(by_performance.rated):
        found |= _by_formula(found, whole)
    shares = tuple(map(float, whole.of_each[0] / max(1.0, float(whole.rated[0]))))
    each = {name: found.get(name) for name in (*ANY, *OF_TWO)}
    return Figures(
        **each,
        shares=shares,
        performances=len(by_performance.rated),
        paired=int(whole.paired[0]),
        seed=seed,
        samples=samples,
    )


def _drawn(found: Sums, wanted: Mapping[str, Callable[[Sums], Numbers]], seed: int, samples: int) -> dict[str, Numbers]:
    """Return each coefficient in each sample; nothing where fewer than two performances could be drawn."""
    turns: dict[str, list[Numbers]] = {name: [np.empty(0)] for name in wanted}
    for weights in _samples(found, seed, samples) if len(found.rated) > 1 else ():
        sample = found.sampled(weights)
        for name, act in wanted.items():
            turns[name].append(act(sample))
    return {name: np.concatenate(values) for name, values in turns.items()}


def _samples(found: Sums, seed: int, samples: int) -> Iterator[Numbers]:
    """Yield how often each performance is drawn, a row a sample, in turns that fit into memory."""
    chance, performances = np.random.default_rng(seed), len(found.rated)
    turn = max(1, AT_ONCE // (performances + found.pairs.shape[1] ** 2))
    for start in range(0, samples, turn):
        size = min(turn, samples - start)
        places = chance.integers(0, performances, size=(size, performances))
        places += np.arange(size)[:, None] * performances
        yield np.bincount(places.ravel(), minlength=size * performances).reshape(size, performances).astype(float)


def _figure(value: float, drawn: Numbers) -> Figure | None:
    """Return a coefficient with its percentile interval: none where it is defined in fewer than half of the samples."""
    if isnan(value):
        return None
    defined = drawn[~np.isnan(drawn)]
    undefined = len(drawn) - len(defined)
    if undefined >= len(defined):
        return Figure(value, undefined=undefined)
    low, high = np.quantile(defined, [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2])
    return Figure(value, float(low), float(high), How.BOOTSTRAP, undefined)


def _by_formula(found: Mapping[str, Figure | None], whole: Sums) -> dict[str, Figure]:
    """Give kappa, weighted or not, the interval of its standard error; it ends at 1, as kappa does."""
    table, reach = whole.pairs[0], NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
    weights = {"cohen": None, "cohen_weighted": coefficients.linear_weights(len(table))}
    kappas = {name: found[name] for name in weights}
    errors = {name: error_of_kappa(table, weights[name]) for name, kappa in kappas.items() if kappa}
    return {
        name: Figure(kappa.value, kappa.value - reach * error, min(1.0, kappa.value + reach * error), How.FORMULA)
        for name, kappa in kappas.items()
        if kappa and (error := errors[name]) is not None
    }


def by_mark(marks: Marks) -> tuple[float | None, ...]:
    """Return Fleiss' kappa of each mark against all others together, in the order of the scale."""
    return tuple(_value(coefficients.fleiss, _against_all(marks, place)) for place in range(len(marks.scale)))


def _against_all(marks: Marks, place: int) -> Marks:
    rows = tuple(tuple(None if mark is None else int(mark == place) for mark in row) for row in marks.rows)
    return replace(marks, scale=(Fraction(0), Fraction(1)), rows=rows)


def _value(act: Callable[[Sums], Numbers], marks: Marks) -> float | None:
    found = sums(marks)
    value = float(act(found.sampled(np.ones((1, len(found.rated)))))[0])
    return None if isnan(value) else value
