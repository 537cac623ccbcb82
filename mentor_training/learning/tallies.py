"""A table of scores counted in whole numbers, by what people reached in all: what item statistics rest on; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import combinations, groupby, repeat
from math import lcm
from operator import is_not, itemgetter, mul

Score = int | float | Fraction
Row = Sequence[Score | None]
Column = list[int]

# A float that is the nearest one to a fraction with at most this denominator is taken for it: 0.333... for one third.
FINEST = 10_000


@dataclass(frozen=True)
class Level:
    """The people from `first` up to, not including, `end`: asked equally many items, they have equally many points.

    `standing` orders levels by the share of points reached. `weight` and `rest_weight` bring the points of levels of
    different lengths to one measure: of all items asked, and of all but one (0 where there is none).
    """

    first: int
    end: int
    points: int
    standing: int
    weight: int
    rest_weight: int

    @property
    def people(self) -> int:
        """Return how many they are."""
        return self.end - self.first


@dataclass(frozen=True)
class Tally:
    """A table counted: scores in parts of `unit`, people in the order of their levels.

    `asked`, `points` and `squares` hold, for each item, the sums of each level; `full` how many have the full score.
    `length` is how many items each person was asked, None where that differs.
    """

    unit: int
    length: int | None
    levels: tuple[Level, ...]
    asked: list[Column]
    points: list[Column]
    squares: list[Column]
    full: Column
    columns: list[Column]
    answered: list[bytes] | None

    @property
    def people(self) -> int:
        """Return how many people were asked anything."""
        return self.levels[-1].end if self.levels else 0

    @property
    def is_whole(self) -> bool:
        """Say whether everybody was asked everything."""
        return self.answered is None

    @cached_property
    def _masks(self) -> list[tuple[int, list[tuple[int, int]]]]:
        """Return for each item who was asked it, and for each score but 0 who has it, as bits."""
        everybody = bytes([1]) * self.people
        answered = self.answered or [everybody] * len(self.columns)
        return [(_bits(who), _whose(column, self.unit)) for who, column in zip(answered, self.columns, strict=True)]

    def variances(self) -> list[float]:
        """Return the variance of each item that at least two were asked, divisor n - 1, in squared units."""
        found = []
        for asked, points, squares in zip(self.asked, self.points, self.squares, strict=True):
            n = sum(asked)
            if n > 1:
                found.append((n * sum(squares) - sum(points) ** 2) / (n * (n - 1)))
        return found

    def covariances(self) -> list[float]:
        """Return the covariance of each pair of items that at least two were asked together, divisor n - 1."""
        found = []
        for (one, its), (other, others) in combinations(self._masks, 2):
            n = (one & other).bit_count()
            if n > 1:
                x = sum(score * (who & other).bit_count() for score, who in its)
                y = sum(score * (who & one).bit_count() for score, who in others)
                xy = sum(a * b * (who & too).bit_count() for a, who in its for b, too in others)
                found.append((n * xy - x * y) / (n * (n - 1)))
        return found


def count(rows: Sequence[Row], items: int) -> Tally:
    """Count a table of scores with so many items; ValueError where it is none. Who was asked nothing is left out."""
    if set(map(len, rows)) - {items}:
        raise ValueError(f"every row has one score, or None, for each of the {items} items")
    distinct: set[Score | None] = set().union(*rows)
    unit, codes = _in_units(score for score in distinct if score is not None)
    columns, answered = _columns(rows, items), None
    lengths = [items] * len(rows) if items else []
    if None in distinct:
        codes[None] = 0
        answered = [bytes(map(is_not, column, repeat(None))) for column in columns]
        lengths = list(map(sum, zip(*answered, strict=True)))
        if 0 in lengths:
            return count([row for row, length in zip(rows, lengths, strict=True) if length], items)
    return _tally(unit, [list(map(codes.__getitem__, column)) for column in columns], answered, lengths)


def _columns(rows: Sequence[Row], items: int) -> Sequence[Sequence[Score | None]]:
    return list(zip(*rows, strict=True)) if rows else [()] * items


def _in_units(distinct: Iterable[Score]) -> tuple[int, dict[Score | None, int]]:
    """Return the unit in whose parts all scores are whole numbers, and that number for each score."""
    exact = {score: _exact(score) for score in distinct}
    unit = lcm(*(score.denominator for score in exact.values()))
    return unit, {score: int(parts * unit) for score, parts in exact.items()}


def _exact(score: Score) -> Fraction:
    if not 0 <= score <= 1:
        raise ValueError(f"{score!r} is no score; one runs from 0 to 1")
    near = Fraction(score).limit_denominator(FINEST)
    return near if float(near) == score else Fraction(score)


def _tally(unit: int, columns: list[Column], answered: list[bytes] | None, lengths: Column) -> Tally:
    """Put people in the order of their levels and sum each item level by level."""
    totals = list(map(sum, zip(*columns, strict=True)))
    different = set(lengths)
    keys = totals if len(different) < 2 else _standings(totals, lengths, lcm(*different))
    order = sorted(range(len(totals)), key=keys.__getitem__)
    levels = tuple(_levels(order, keys, totals, lengths))
    columns = [list(column) for column in _in_order(columns, order)]
    answered = [bytes(column) for column in _in_order(answered, order)] if answered else None
    sums = [_sums(levels, column, unit) for column in columns]
    return Tally(
        unit,
        different.pop() if len(different) == 1 else None,
        levels,
        [_sums(levels, one, 1)[0] for one in answered] if answered else [[one.people for one in levels]] * len(columns),
        [points for points, _ in sums],
        [squares for _, squares in sums],
        [column.count(unit) for column in columns],
        columns,
        answered,
    )


def _in_order(columns: Sequence[Sequence[int]], order: Column) -> Sequence[Sequence[int]]:
    if len(order) < 2:
        return columns
    pick = itemgetter(*order)
    return [pick(column) for column in columns]


def _standings(totals: Column, lengths: Column, common: int) -> list[tuple[int, int]]:
    """Return for each person the share of points reached, in parts of `common` items, and how many items were asked."""
    return [(total * (common // length), length) for total, length in zip(totals, lengths, strict=True)]


def _levels(order: Column, keys: Sequence[object], totals: Column, lengths: Column) -> Iterable[Level]:
    different = set(lengths)
    common, rest = lcm(*different), lcm(*(length - 1 for length in different if length > 1))
    first = 0
    for _, group in groupby(order, key=keys.__getitem__):
        found = list(group)
        total, length = totals[found[0]], lengths[found[0]]
        weight, rest_weight = common // length, rest // (length - 1) if length > 1 else 0
        yield Level(first, first + len(found), total, total * weight, weight, rest_weight)
        first += len(found)


def _sums(levels: Iterable[Level], column: Sequence[int], unit: int) -> tuple[Column, Column]:
    """Return an item's points and squared points, level by level; where scores are 0 and 1 they are the same."""
    parts = [column[level.first : level.end] for level in levels]
    points = list(map(sum, parts))
    return points, points if unit == 1 else [sum(map(mul, part, part)) for part in parts]


def _whose(column: Column, unit: int) -> list[tuple[int, int]]:
    """Return for each score but 0 who has it, as bits."""
    scores = set(column) - {0}
    if unit > 255:
        return [(score, _bits(map(score.__eq__, column))) for score in scores]
    as_bytes = bytes(column)
    return [(score, int(as_bytes.translate(_one_for(score)), 2)) for score in scores]


@cache
def _one_for(score: int) -> bytes:
    """Return the table by which bytes turn into the digits 1, for a score, and 0, for any other."""
    return bytes(b"01"[other == score] for other in range(256))


def _bits(of_each: Iterable[int]) -> int:
    """Return a whole number with one bit for each person, from a 1 or a 0 for each."""
    return int(bytes(of_each).translate(_one_for(1)) or b"0", 2)
