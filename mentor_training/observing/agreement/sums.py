"""What every coefficient is made of, by performance, so that drawing performances is one multiplication; pure."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from mentor_training.observing.agreement.marks import Marks

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Sums:
    """Sums over units; each with one row a performance, or a sample of performances.

    `rated` units have a mark, `paired` ones two or more; in `equal` of these all marks are the same. `shares` sums of
    each paired unit the share of its pairs of observers who agree, `of_each` of each rated unit the share of each
    mark. `pairs[a, b]` counts pairs of marks, the earlier observer's a and the later one's b, each unit's divided by
    its marks less one: for two observers, their cross table.
    """

    rated: Numbers
    paired: Numbers
    equal: Numbers
    shares: Numbers
    of_each: Numbers
    pairs: Numbers

    def sampled(self, weights: Numbers) -> Sums:
        """Add the performances up, each so many times as its weight in each row says."""
        marks = self.of_each.shape[1]
        columns = (self.rated[:, None], self.paired[:, None], self.equal[:, None], self.shares[:, None], self.of_each)
        found = weights @ np.concatenate([*columns, self.pairs.reshape(len(self.pairs), marks * marks)], axis=1)
        pairs = found[:, 4 + marks :].reshape(len(found), marks, marks)
        return Sums(found[:, 0], found[:, 1], found[:, 2], found[:, 3], found[:, 4 : 4 + marks], pairs)


def sums(marks: Marks) -> Sums:
    """Sum up by performance."""
    table = np.array([[-1 if one is None else one for one in row] for row in marks.rows], dtype=np.int64)
    units, kinds = len(marks.rows), len(marks.scale)
    table = table.reshape(units, len(marks.observers))
    line, column = np.nonzero(table >= 0)
    counts = _counted(line * kinds + table[line, column], units * kinds).reshape(units, kinds)
    number = counts.sum(axis=1)
    paired = number >= 2
    agreeing = (counts * (counts - 1)).sum(axis=1)
    starts = _starts(marks)
    performance = np.repeat(np.arange(len(starts)), np.diff([*starts, units]))

    def added(values: Numbers) -> Numbers:
        return np.add.reduceat(values, starts, axis=0) if units else values

    return Sums(
        added((number > 0).astype(float)),
        added(paired.astype(float)),
        added((paired & (counts.max(axis=1, initial=0) == number)).astype(float)),
        added(np.divide(agreeing, number * (number - 1), out=np.zeros(units), where=paired)),
        added(np.divide(counts, number[:, None], out=np.zeros((units, kinds)), where=number[:, None] > 0)),
        _pairs(table, performance, np.divide(1, number - 1, out=np.zeros(units), where=paired), kinds, len(starts)),
    )


def _counted(places: NDArray[np.int64], length: int, weights: Numbers | None = None) -> Numbers:
    return np.bincount(places, weights, length).astype(float)


def _starts(marks: Marks) -> list[int]:
    """Return where each performance's units begin."""
    names = [unit.performance for unit in marks.units]
    return [place for place, name in enumerate(names) if not place or name != names[place - 1]]


def _pairs(
    table: NDArray[np.int64], performance: NDArray[np.int64], shares: Numbers, kinds: int, performances: int
) -> Numbers:
    found = np.zeros(performances * kinds * kinds)
    for earlier, later in combinations(range(table.shape[1]), 2):
        first, second = table[:, earlier], table[:, later]
        both = (first >= 0) & (second >= 0)
        places = (performance[both] * kinds + first[both]) * kinds + second[both]
        found += _counted(places, len(found), shares[both])
    return found.reshape(performances, kinds, kinds)
