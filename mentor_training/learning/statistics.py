"""How the items of a test do: difficulty, discrimination, reliability, and the number of people behind each; pure.

A table of scores has one row a person and one column an item. A score runs from 0 to 1; it is None where the person was
not asked the item, which is not the same as 0 for no answer. Figures that are not defined are None. Sums are exact:
scores are counted in whole parts of one unit, and a division or a root is the last step.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import groupby
from math import copysign, fsum, sqrt
from statistics import NormalDist

from mentor_training.learning.tallies import Level, Row, Tally, count

# Kelley, The selection of upper and lower groups for the validation of test items, J Educ Psychol 1939;30:17-24: for
# a normal ability the contrast of the two groups is surest where each is 27.03% of all.
GROUP = Fraction(27, 100)


class Band(StrEnum):
    """What Ebel calls an item by its upper-lower discrimination (Ebel and Frisbie, Essentials of Educational
    Measurement, 1991).
    """

    VERY_GOOD = "very good"
    REASONABLY_GOOD = "reasonably good"
    MARGINAL = "marginal"
    POOR = "poor"


FLOORS = (
    (Fraction(40, 100), Band.VERY_GOOD),
    (Fraction(30, 100), Band.REASONABLY_GOOD),
    (Fraction(20, 100), Band.MARGINAL),
)


@dataclass(frozen=True)
class ItemFigures:
    """How one item does among the `people` who were asked it.

    `difficulty` is the mean score, from 0 (nobody) to 1: the share right where items are right or wrong. `best` is the
    share with the full score. `discrimination` is the mean of the upper group less that of the lower one, -1 to 1.
    `item_rest` correlates the item with what the same people scored on the rest of it, `item_total` with everything,
    the item itself included; both -1 to 1.
    """

    people: int
    difficulty: Fraction | None = None
    best: Fraction | None = None
    discrimination: Fraction | None = None
    item_rest: float | None = None
    item_total: float | None = None

    @property
    def band(self) -> Band | None:
        """Return Ebel's word for the discrimination."""
        return band(self.discrimination)


@dataclass(frozen=True)
class Figures:
    """How a test and its items do. `length` is how many items each person was asked, None where that differs.

    `mean`, `deviation` (divisor n - 1) and `sem` are in points, one an item.
    """

    people: int
    items: tuple[ItemFigures, ...]
    length: int | None = None
    mean: Fraction | None = None
    deviation: float | None = None
    kr20: float | None = None
    kr21: float | None = None
    sem: float | None = None


def figures(rows: Sequence[Row], items: int) -> Figures:
    """Return all figures of a table of scores with so many items.

    ValueError where a row has another number of scores, or a score is no number from 0 to 1. A person who was asked
    nothing is left out. The order of the rows changes nothing.
    """
    tally = count(rows, items)
    each = tuple(_item(tally, place) for place in range(items))
    length, people = tally.length, tally.people
    if length is None or not people:
        return Figures(people, each, length)
    points = sum(level.people * level.points for level in tally.levels)
    squares = sum(level.people * level.points**2 for level in tally.levels)
    spread = people * squares - points**2
    deviation = sqrt(Fraction(spread, people * (people - 1) * tally.unit**2)) if people > 1 else None
    reliability = _kr20(tally, length, spread)
    return Figures(
        people, each, length, Fraction(points, people * tally.unit), deviation, reliability,
        _kr21(length, Fraction(points, people), Fraction(spread, people**2)) if tally.unit == 1 else None,
        standard_error(deviation, reliability) if deviation is not None and reliability is not None else None,
    )  # fmt: skip


# ---- one item ----


def _item(tally: Tally, place: int) -> ItemFigures:
    people = sum(tally.asked[place])
    if not people:
        return ItemFigures(0)
    return ItemFigures(
        people,
        Fraction(sum(tally.points[place]), people * tally.unit),
        Fraction(tally.full[place], people),
        _discrimination(tally, place),
        _correlation(tally, place, [(level.rest_weight, level.rest_weight) for level in tally.levels]),
        _correlation(tally, place, [(level.weight, 0) for level in tally.levels]),
    )


def group_size(people: int) -> int:
    """Return how many make the upper group, and as many the lower: 27% of all to the nearest whole, halves up, and at
    least one.
    """
    return max(1, int(GROUP * people + Fraction(1, 2)))


def _discrimination(tally: Tally, place: int) -> Fraction | None:
    """Return the upper-lower difference of Kelley's groups, made by the share of points that a person reached.

    Those who stand equal at the cut are shared: the group takes of each the same part that fits, never one before the
    other by the order of rows. Not defined where everybody stands equal, which takes one person too.
    """
    found = zip(tally.levels, tally.asked[place], tally.points[place], strict=True)
    equal = groupby((one for one in found if one[1]), key=lambda one: one[0].standing)
    steps = [_together(group) for _, group in equal]
    if len(steps) < 2:
        return None
    size = group_size(sum(people for people, _ in steps))
    return (_of_group(reversed(steps), size) - _of_group(steps, size)) / (size * tally.unit)


def _together(group: Iterable[tuple[Level, int, int]]) -> tuple[int, int]:
    found = list(group)
    return sum(people for _, people, _ in found), sum(points for _, _, points in found)


def _of_group(steps: Iterable[tuple[int, int]], size: int) -> Fraction:
    """Return the points of the first so many people, those at the cut shared."""
    whole, left = 0, size
    for people, points in steps:
        if people >= left:
            return whole + Fraction(points * left, people)
        whole, left = whole + points, left - people
    raise ValueError(f"there are not {size} people")


def _correlation(tally: Tally, place: int, weights: Iterable[tuple[int, int]]) -> float | None:
    """Return Pearson's correlation of an item's score x with y = a * total - b * x, `a` and `b` by level.

    From the sums over levels alone. Levels weighted 0 and 0 are left out: there is no rest. Not defined where one of
    the two does not vary.
    """
    n = x = y = xx = yy = xy = 0
    of_item = zip(tally.levels, tally.asked[place], tally.points[place], tally.squares[place], weights, strict=True)
    for level, people, points, squares, (a, b) in of_item:
        if a or b:
            total = a * level.points
            n, x, xx = n + people, x + points, xx + squares
            y += total * people - b * points
            yy += total * total * people - 2 * total * b * points + b * b * squares
            xy += total * points - b * squares
    together, spread = n * xy - x * y, (n * xx - x * x) * (n * yy - y * y)
    return copysign(sqrt(Fraction(together * together, spread)), together) if spread else None


def band(discrimination: Fraction | float | None) -> Band | None:
    """Return Ebel's word for a discrimination: very good from 0.40, reasonably good from 0.30, marginal from 0.20."""
    if discrimination is None:
        return None
    return next((word for floor, word in FLOORS if discrimination >= floor), Band.POOR)


# ---- the whole test ----


def _kr20(tally: Tally, length: int, spread: int) -> float | None:
    """Return formula 20 of Kuder and Richardson, Psychometrika 1937;2:151-160, of tests of `length` items.

    k / (k - 1) * (1 - sum of the items' variances / variance of the totals), both variances with divisor n; where a
    score may lie between 0 and 1, the same formula is Cronbach's alpha. `spread` is n * sum of squares - (sum)^2 of the
    totals. Where people were asked different items, see `alpha_of_draws`. Not defined for fewer than two people or
    items, or where all totals are equal.
    """
    if tally.people < 2 or length < 2 or not spread:
        return None
    if not tally.is_whole:
        return alpha_of_draws(tally, length)
    of_items = sum(
        tally.people * sum(squares) - sum(points) ** 2
        for points, squares in zip(tally.points, tally.squares, strict=True)
    )
    return float(Fraction(length, length - 1) * (1 - Fraction(of_items, spread)))


def alpha_of_draws(tally: Tally, length: int) -> float | None:
    """Return alpha of a test of `length` items drawn from a bank, from pairs of items that somebody was asked together.

    The mean covariance of two items by the mean variance of one is the reliability of one item; Spearman and Brown
    lengthen it. With everybody asked everything this is alpha itself. Divisors are n - 1. Not defined where no two
    people were asked the same two items, or where so few were that it does not come out at 1 or less.
    """
    together, alone = tally.covariances(), tally.variances()
    if not together or not any(alone):
        return None
    one = (fsum(together) / len(together)) / (fsum(alone) / len(alone))
    if 1 + (length - 1) * one <= 0:
        return None
    found = spearman_brown(length, one)
    return found if found <= 1 else None


def _kr21(length: int, mean: Fraction, variance: Fraction) -> float | None:
    """Return formula 21 of Kuder and Richardson (1937): as if all items were equally hard, each 0 or 1.

    k / (k - 1) * (1 - mean * (k - mean) / (k * variance)), the variance of the totals with divisor n. Not defined for
    fewer than two items or without variance.
    """
    if length < 2 or not variance:
        return None
    return float(Fraction(length, length - 1) * (1 - mean * (length - mean) / (length * variance)))


def spearman_brown(times: float, reliability: float) -> float:
    """Return the reliability of a test made so many times as long by items of the same kind.

    Spearman, Br J Psychol 1910;3:271-295, and Brown, the same, 296-322. ZeroDivisionError where it has no value.
    """
    return times * reliability / (1 + (times - 1) * reliability)


def standard_error(deviation: float, reliability: float) -> float:
    """Return the standard error of measurement, in the unit of the deviation: deviation * sqrt(1 - reliability).

    ValueError for a reliability above 1.
    """
    return deviation * sqrt(1 - reliability)


# ---- shares ----


def wilson(hits: int, people: int, confidence: float = 0.95) -> tuple[float, float] | None:
    """Return the score interval of Wilson, JASA 1927;22:209-212, of a share, without continuity correction.

    Within 0 to 1; its ends are exactly 0 at no hit and exactly 1 at nothing but hits. Not defined for nobody.
    ValueError where the hits are not 0 to `people`.
    """
    if not 0 <= hits <= people:
        raise ValueError(f"{hits} of {people} is no share")
    if not people:
        return None
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    middle = (hits + z * z / 2) / (people + z * z)
    reach = z / (people + z * z) * sqrt(hits * (people - hits) / people + z * z / 4)
    return (max(0.0, middle - reach) if hits else 0.0, min(1.0, middle + reach) if hits < people else 1.0)
