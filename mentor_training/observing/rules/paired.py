"""Two observers who saw the same performance on the floor: how much they marked alike; pure.

Two live looks by different observers at the same skill of the same volunteer, on the same day and with the same
participant, are taken for one performance; of several by one observer, the first. Two such looks for each observer,
and what share is too small, are rules of this program (common practice, no source).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import combinations

from mentor_training.observing.rules.results import Marking

WANTED = 2


@dataclass(frozen=True)
class Look:
    """One live observation that was not struck; `edition` is the program's whose criteria were marked."""

    number: int
    observer: str
    person: str
    skill: str
    day: date
    participant: str
    edition: int
    marks: Mapping[int, str]


@dataclass(frozen=True)
class Pair:
    """Two looks at one performance: `alike` of the `criteria` that both saw."""

    first: Look
    second: Look
    criteria: int
    alike: int


@dataclass(frozen=True)
class Paired:
    """One observer's pairs since a day, and what they come to."""

    observer: str
    pairs: tuple[Pair, ...]

    @property
    def criteria(self) -> int:
        """Return how many criteria both saw."""
        return sum(pair.criteria for pair in self.pairs)

    @property
    def alike(self) -> int:
        """Return how many of them were marked alike."""
        return sum(pair.alike for pair in self.pairs)

    @property
    def share(self) -> Fraction | None:
        """Return the share marked alike; None where nothing was seen by both."""
        return Fraction(self.alike, self.criteria) if self.criteria else None

    def is_too_small(self, least_share: float) -> bool:
        """Say whether the observer is to calibrate again: enough pairs, and too small a share of them alike."""
        enough = len(self.pairs) >= WANTED and self.share is not None
        return enough and (self.share or 0) < Fraction(str(least_share))


def pairs_among(looks: Iterable[Look]) -> tuple[Pair, ...]:
    """Return every pair of observers at one performance, in the order of the later look."""
    at_one: dict[tuple[object, ...], dict[str, Look]] = defaultdict(dict)
    for look in sorted(looks, key=lambda one: one.number):
        same = (look.person, look.skill, look.day, look.participant, look.edition)
        at_one[same].setdefault(look.observer, look)
    found = [_pair(*two) for by_observer in at_one.values() for two in combinations(by_observer.values(), 2)]
    return tuple(sorted(found, key=lambda pair: (pair.second.number, pair.first.number)))


def _pair(first: Look, second: Look) -> Pair:
    both = [
        (first.marks[number], second.marks[number])
        for number in first.marks
        if number in second.marks and Marking.NOT_SEEN not in (first.marks[number], second.marks[number])
    ]
    return Pair(first, second, len(both), sum(one == other for one, other in both))


def paired_since(pairs: Iterable[Pair], observer: str, since: date | None) -> Paired:
    """Return the pairs of one observer from a day on; of all days where none is named."""
    own = (pair for pair in pairs if observer in (pair.first.observer, pair.second.observer))
    return Paired(observer, tuple(pair for pair in own if since is None or pair.first.day >= since))
