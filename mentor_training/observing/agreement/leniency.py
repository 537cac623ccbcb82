"""How lenient observers are: which share of the criteria they saw they marked as done; pure."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from mentor_training.observing.agreement.marks import Marks
from mentor_training.observing.rules.results import AS_DONE


@dataclass(frozen=True)
class Leniency:
    """Of `marks` that an observer gave on a criterion (None: on all), so many were done or done another way.

    `others_marks` and `others_done` count the marks of all others on the very units that this observer marked, so that
    who happened to see the weaker performances does not look strict.
    """

    observer: str
    criterion: str | None
    marks: int
    done: int
    others_marks: int
    others_done: int

    @property
    def share(self) -> Fraction:
        """Return the share that the observer marked as done."""
        return Fraction(self.done, self.marks)

    @property
    def others_share(self) -> Fraction | None:
        """Return the share that the others marked as done, None where nobody else marked these units."""
        return Fraction(self.others_done, self.others_marks) if self.others_marks else None


def leniency(marks: Marks, by_criterion: bool = False) -> tuple[Leniency, ...]:
    """Return the leniency of every observer who gave a mark, over all criteria or by criterion; words only."""
    counts: dict[tuple[int, str], list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    done = [mark in AS_DONE for mark in marks.scale]
    for unit, row in zip(marks.units, marks.rows, strict=True):
        given = [(place, done[mark]) for place, mark in enumerate(row) if mark is not None]
        all_done = sum(was_done for _, was_done in given)
        for place, was_done in given:
            count = counts[place, unit.criterion if by_criterion else ""]
            for at, more in enumerate((1, was_done, len(given) - 1, all_done - was_done)):
                count[at] += more
    return tuple(
        Leniency(marks.observers[place], criterion or None, *count)
        for (place, criterion), count in sorted(counts.items())
    )
