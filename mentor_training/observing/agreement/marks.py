"""The marks of several observers side by side, as every coefficient of agreement takes them; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from mentor_training.observing.rules.results import Marking

# From most to least done alone. That Stopped stands at the far end, and each mark one step from the next, is a rule of
# this program. Not seen says nothing about the criterion: it is no mark here, as if it were missing.
ORDER = (
    Marking.DONE, Marking.ANOTHER_WAY, Marking.REMINDED, Marking.HELPED, Marking.NOT_DONE, Marking.STOPPED,
)  # fmt: skip

Mark = str | Fraction


@dataclass(frozen=True, order=True)
class Unit:
    """What is marked: one criterion in one performance."""

    performance: str
    criterion: str


@dataclass(frozen=True)
class Marks:
    """`rows` has a row a unit and in it a cell an observer: the mark's place in `scale`, or None where it is missing.

    `scale` holds the marks that occur, in their order. Units of one performance follow one another.
    """

    observers: tuple[str, ...]
    scale: tuple[Mark, ...]
    units: tuple[Unit, ...]
    rows: tuple[tuple[int | None, ...], ...]

    @property
    def is_words(self) -> bool:
        """Return whether the marks are this program's words."""
        return all(isinstance(mark, str) for mark in self.scale)

    def of(self, observer: str) -> dict[Unit, Mark]:
        """Return what one observer marked."""
        place = self.observers.index(observer)
        found = ((unit, row[place]) for unit, row in zip(self.units, self.rows, strict=True))
        return {unit: self.scale[mark] for unit, mark in found if mark is not None}

    def without(self, observer: str) -> Marks:
        """Return the marks of all others, with the scale that they use."""
        others = (one for one in self.observers if one != observer)
        return side_by_side({(one, unit): mark for one in others for unit, mark in self.of(one).items()})


def in_order(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """Return the marks that occur, each once: words by ORDER, numbers by value."""
    found = set(marks)
    words = [word for word in ORDER if word in found]
    return (*words, *sorted(one for one in found if isinstance(one, Fraction)))


def side_by_side(given: Mapping[tuple[str, Unit], Mark]) -> Marks:
    """Put marks, by observer and unit, into rows; in an order that does not depend on theirs."""
    observers = sorted({observer for observer, _ in given})
    units = sorted({unit for _, unit in given})
    scale = in_order(given.values())
    column = {observer: place for place, observer in enumerate(observers)}
    line = {unit: place for place, unit in enumerate(units)}
    place_of = {mark: place for place, mark in enumerate(scale)}
    rows: list[list[int | None]] = [[None] * len(observers) for _ in units]
    for (observer, unit), mark in given.items():
        rows[line[unit]][column[observer]] = place_of[mark]
    return Marks(tuple(observers), scale, tuple(units), tuple(map(tuple, rows)))


def of_rows(rows: Sequence[Sequence[int | None]], marks: int) -> Marks:
    """Take bare rows, a row a performance of one criterion, with so many marks numbered from 0."""
    width = len(str(len(rows)))
    units = tuple(Unit(f"{number:0{width}}", "1") for number in range(len(rows)))
    observers = tuple(str(place) for place in range(len(rows[0]) if rows else 0))
    return Marks(observers, tuple(map(Fraction, range(marks))), units, tuple(map(tuple, rows)))
