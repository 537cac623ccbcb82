"""Everybody's records bound together by what they say and not by whom they are about; pure.

Most records say what many others say too: this module, completed on that day. Bound together, each such statement is
read once for all of whom it was made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from functools import lru_cache

from mentor_training.evidence.facts import (
    ATTENDED,
    COMPLETED,
    HOURS,
    LIFTED,
    RESTRICTED,
    STOOD_DOWN,
    VOIDED,
    WITHDRAWN,
)

# Person, kind, item, first day, last day, and for hours their minutes; days as the store gives them.
Row = tuple[str, str, str, date | str, date | str | None, str]
# What a record says: kind, item, first day, last day, minutes.
Said = tuple[str, str, date, date | None, int]
# The days on which a sum changes, and the sum from then on.
Sums = tuple[Sequence[int], Sequence[int]]

# Whoever has one of these has records that later ones cut, or pauses, which are named by their record.
APART = frozenset((WITHDRAWN, VOIDED, LIFTED, STOOD_DOWN, RESTRICTED))


class Places(dict[str, int]):
    """The place of each volunteer in every set of them; who has none yet gets the next one."""

    def __missing__(self, code: str) -> int:
        self[code] = place = len(self)
        return place


class Sheaves:
    """What was said, and the places of those of whom it was said; who stands `apart` has corrections or pauses."""

    def __init__(self, rows: Iterable[Row], people: Iterable[str] = ()) -> None:
        """Bind rows together; the people named first get the first places, in their order."""
        self.places = Places((code, place) for place, code in enumerate(dict.fromkeys(people)))
        bound: dict[tuple[str, str, date | str, date | str | None, str], list[int]] = defaultdict(list)
        places = self.places
        for person, kind, item, first, last, minutes in rows:
            bound[kind, item, first, last, minutes].append(places[person])
        self.said: dict[tuple[str, str], list[tuple[Said, list[int]]]] = defaultdict(list)
        self.apart: set[int] = set()
        for (kind, item, first, last, minutes), whose in bound.items():
            if kind in APART:
                self.apart.update(whose)
            said = (kind, item, _day(first), _day(last) if last else None, int(minutes or 0))
            self.said[kind, item.partition("@")[0] if kind == COMPLETED else item].append((said, whose))
        self._sums: dict[str, dict[int, Sums]] = {}

    @property
    def people_apart(self) -> tuple[str, ...]:
        """Return who has corrections or pauses: what is known of them must be read record by record."""
        return tuple(code for code, place in self.places.items() if place in self.apart)

    def about(self, kind: str, item: str, but: Collection[int] = ()) -> Iterator[tuple[Said, Sequence[int]]]:
        """Yield what was said of a kind about an item, of whatever edition, and of whom, some places left out."""
        for said, whose in self.said.get((kind, item), ()):
            yield said, [place for place in whose if place not in but] if but else whose

    def days_of(self, kind: str, item: str) -> dict[int, list[date]]:
        """Return the first days of what was said of a kind about an item, the earliest first, by place."""
        found: dict[int, list[date]] = defaultdict(list)
        for said, whose in sorted(self.about(kind, item), key=_first_day):
            for place in whose:
                found[place].append(said[2])
        return found

    def sums(self, category: str = "") -> dict[int, Sums]:
        """Return, by place, how the minutes of a category add up; with no category the sessions attended, each from
        the day after it.
        """
        if category not in self._sums:
            changes = self._minutes(category) if category else self._sessions()
            self._sums[category] = {place: _added_up(found) for place, found in changes.items()}
        return self._sums[category]

    def _minutes(self, category: str) -> dict[int, list[tuple[int, int]]]:
        found: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for said, whose in sorted(self.about(HOURS, category), key=_first_day):
            change = (said[2].toordinal(), said[4])
            for place in whose:
                found[place].append(change)
        return found

    def _sessions(self) -> dict[int, list[tuple[int, int]]]:
        found: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for session in [item for kind, item in self.said if kind == ATTENDED]:
            for place, days in self.days_of(ATTENDED, session).items():
                found[place].append((days[0].toordinal() + 1, 1))
        return found


def _first_day(what: tuple[Said, Sequence[int]]) -> date:
    return what[0][2]


def _added_up(changes: list[tuple[int, int]]) -> Sums:
    """Add up what changes on which day; of several changes on one day only the last sum stands."""
    if len(changes) == 1:
        return (changes[0][0],), (changes[0][1],)
    so_far, sums = 0, {}
    for day, change in sorted(changes):
        so_far += change
        sums[day] = so_far
    return tuple(sums), tuple(sums.values())


@lru_cache(maxsize=65536)
def _day(day: date | str) -> date:
    return date.fromisoformat(day) if isinstance(day, str) else day
