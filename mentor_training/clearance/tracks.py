"""On which days who holds one thing: a set of volunteers that changes on its turning days; pure.

Days are ordinals (`date.toordinal`): whole numbers compare faster, and the day after the last there is, is one too.
"""

from __future__ import annotations

import gc
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property

# From a day through a day (None: open), and the places of those who hold it then.
Held = tuple[int, int | None, Sequence[int]]


@dataclass(frozen=True, eq=False)
class Turns:
    """Who loses, or gets, one thing on which day: `who[day]` for each of the `days`, which are in their order."""

    days: Sequence[int]
    who: Mapping[int, int]

    @classmethod
    def of(cls, who: Mapping[int, int]) -> Turns:
        """Put the days of a mapping in order."""
        return cls(sorted(who), who)

    def between(self, start: int, end: int) -> Sequence[int]:
        """Return the days after one and before another."""
        return self.days[bisect_right(self.days, start) : bisect_left(self.days, end)]


@dataclass(frozen=True, eq=False)
class Track:
    """Who holds one thing, day by day: `sets[n]` from the turning day `days[n - 1]` on, `sets[0]` before the first."""

    days: tuple[int, ...]
    sets: tuple[int, ...]

    def on(self, day: int) -> int:
        """Return who holds it on a day."""
        return self.sets[bisect_right(self.days, day)]

    @cached_property
    def losses(self) -> Turns:
        """Return who loses it on which day."""
        pairs = zip(self.days, self.sets, self.sets[1:], strict=False)
        return Turns.of({day: lost for day, before, after in pairs if (lost := before & ~after)})

    @cached_property
    def gains(self) -> Turns:
        """Return who gets it on which day."""
        pairs = zip(self.days, self.sets, self.sets[1:], strict=False)
        return Turns.of({day: gained for day, before, after in pairs if (gained := after & ~before)})

    def with_person(self, place: int, spans: Iterable[tuple[int, int | None]]) -> Track:
        """Return the same track in which one person holds it on these days and on no others."""
        own = track_of([(first, last, (0,)) for first, last in spans], 1)
        if own.steps(0) == self.steps(place):
            return self
        bit, days = 1 << place, sorted({*self.days, *own.days})
        sets = [self.sets[0] & ~bit]
        for day in days:
            others = self.on(day)
            others ^= bit if others >> place & 1 else 0
            sets.append(others | bit if own.on(day) else others)
        return _without_repeats(days, sets)

    def steps(self, place: int) -> list[tuple[int, int]]:
        """Return the days on which the person at a place begins (1) and ceases (0) to hold it; those who never do have
        none.
        """
        holds = [held >> place & 1 for held in self.sets]
        return [(day, now) for day, before, now in zip(self.days, holds, holds[1:], strict=False) if now != before]


def track_of(spans: Iterable[Held], size: int) -> Track:
    """Make the track of things held on some days; who holds it twice at a time holds it until the last of them ends.

    `size` is the number of places.
    """
    begins, ends = _events(spans)
    times, held = [0] * size, bytearray((size + 7) // 8)
    days, sets = sorted({*begins, *ends}), [0]
    for day in days:
        for place in begins.get(day, ()):
            times[place] += 1
            held[place >> 3] |= 1 << (place & 7)
        for place in ends.get(day, ()):
            times[place] -= 1
            if not times[place]:
                held[place >> 3] ^= 1 << (place & 7)
        sets.append(int.from_bytes(held, "little"))
    return _without_repeats(days, sets)


def _events(spans: Iterable[Held]) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
    begins: dict[int, list[int]] = {}
    ends: dict[int, list[int]] = {}
    for first, last, places in spans:
        begins.setdefault(first, []).extend(places)
        if last is not None:
            ends.setdefault(last + 1, []).extend(places)
    return begins, ends


def _without_repeats(days: Sequence[int], sets: Sequence[int]) -> Track:
    kept = [n for n in range(len(days)) if sets[n + 1] != sets[n]]
    return Track(tuple(days[n] for n in kept), (sets[0], *(sets[n + 1] for n in kept)))


@contextmanager
def without_collecting() -> Iterator[None]:
    """Keep the garbage collector from looking again and again through what is being read and will stay."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
