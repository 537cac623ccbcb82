"""The requirement language: what must be held for a rung, an entry or a certificate.

A requirement is monotone: holding more never makes a met requirement unmet. Everything here rests on that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, inf
from typing import Any


@dataclass(frozen=True)
class Item:
    """An item is held: `module/SLUG`, `skill/SLUG` or `paper/SLUG`."""

    name: str


@dataclass(frozen=True)
class Hours:
    """Approved hours of a category, up to and including the day."""

    category: str
    at_least: float


@dataclass(frozen=True)
class Sessions:
    """Sessions attended before the day."""

    at_least: int


@dataclass(frozen=True)
class AtLeast:
    """So many of these; all of them and any of them are the two ends of it."""

    count: int
    of: tuple[Requirement, ...]


Atom = Item | Hours | Sessions
Requirement = Item | Hours | Sessions | AtLeast

ALWAYS = AtLeast(0, ())
TINY = 1e-9  # what adding shares of atoms may be off by


def all_of(*parts: Requirement) -> Requirement:
    """Every part is met."""
    return parts[0] if len(parts) == 1 else AtLeast(len(parts), parts)


def any_of(*parts: Requirement) -> Requirement:
    """One part is met."""
    return AtLeast(1, parts)


def is_met(requirement: Requirement, holds: Callable[[Atom], bool]) -> bool:
    """Say whether a requirement is met, given which atoms hold."""
    if isinstance(requirement, AtLeast):
        still = requirement.count
        for part in requirement.of:
            if still <= 0:
                break
            still -= is_met(part, holds)
        return still <= 0
    return holds(requirement)


def atoms_of(requirement: Requirement) -> tuple[Atom, ...]:
    """Return the atoms in the order in which they stand, each once."""
    return tuple(dict.fromkeys(_walk(requirement)))


def _walk(requirement: Requirement) -> Iterator[Atom]:
    if isinstance(requirement, AtLeast):
        for part in requirement.of:
            yield from _walk(part)
    else:
        yield requirement


def covers(chosen: Iterable[Atom], wanted: Atom) -> bool:
    """Say whether getting the chosen atoms gets the wanted one too: ten hours are also five hours."""
    for atom in chosen:
        if atom == wanted:
            return True
        if isinstance(atom, Hours) and isinstance(wanted, Hours):
            if atom.category == wanted.category and atom.at_least >= wanted.at_least:
                return True
        if isinstance(atom, Sessions) and isinstance(wanted, Sessions) and atom.at_least >= wanted.at_least:
            return True
    return False


def smallest_missing(requirement: Requirement, holds: Callable[[Atom], bool]) -> tuple[Atom, ...]:
    """Return the smallest set of atoms that, held besides what is held, would meet the requirement.

    Counted over the whole requirement, so that an atom wanted twice counts once. Of equal sets the one whose atoms
    stand earlier, compared atom by atom. Empty when it is met already. A rule of this program.

    What has no choice is taken first. The choices that are left fall into heaps that share no atom, and each heap is
    searched by itself: sets are tried in that order, the small ones first, and none that the bound of `_Search` rules
    out.
    """
    chosen: set[Atom] = set()
    wanted = _wanted(requirement, holds)
    atoms = tuple(atom for atom in atoms_of(requirement) if not holds(atom)) if wanted else ()
    while only := {one for one in wanted if isinstance(one, Item)}:
        chosen.update(only)
        wanted = _wanted(AtLeast(len(wanted), tuple(wanted)), lambda atom: holds(atom) or atom in chosen)
    for heap in _heaps(wanted):
        groups = {_group(atom) for part in heap for atom in _walk(part)}
        candidates = tuple(atom for atom in atoms if _group(atom) in groups and atom not in chosen)
        chosen.update(_Search(all_of(*heap), candidates).smallest())
    return tuple(atom for atom in atoms if atom in chosen)


def _wanted(requirement: Requirement, holds: Callable[[Atom], bool]) -> list[Requirement]:
    """Return what is still wanted, every part of it, with all that is met left out; what is all wanted stands singly.

    Raises ValueError for what nothing can meet.
    """
    if not isinstance(requirement, AtLeast):
        return [] if holds(requirement) else [requirement]
    still, parts = requirement.count, []
    for part in requirement.of:
        try:
            rest = _wanted(part, holds)
        except ValueError:
            continue
        if rest:
            parts.append(rest)
        else:
            still -= 1
    if still > len(parts):
        raise ValueError("a requirement that nothing can meet")
    if still == len(parts):
        return [one for rest in parts for one in rest]
    return [AtLeast(still, tuple(all_of(*rest) for rest in parts))] if still > 0 else []


def _heaps(wanted: Iterable[Requirement]) -> list[list[Requirement]]:
    """Put those that share an item, a category of hours, or sessions on one heap."""
    heaps: list[tuple[set[str], list[Requirement]]] = []
    for part in wanted:
        groups, together = {_group(atom) for atom in _walk(part)}, [part]
        apart = []
        for heap in heaps:
            if heap[0].isdisjoint(groups):
                apart.append(heap)
            else:
                groups, together = groups | heap[0], heap[1] + together
        heaps = [*apart, (groups, together)]
    return [together for _, together in heaps]


class _Search:
    """Looks for a set of missing atoms of a given size that meets a requirement.

    The bound: every place where an atom is wanted costs one share of it, the atom divided by the places where it, or
    fewer of the same hours or sessions, is wanted. A set of n atoms pays for shares of n atoms at most, so that what
    the cheapest way through the requirement costs is never more than the smallest set has. Where nothing is wanted
    twice it is exactly that, and the search goes straight to it.
    """

    def __init__(self, requirement: Requirement, missing: tuple[Atom, ...]) -> None:
        self.requirement = requirement
        self.missing = missing
        self.places = Counter(_group(atom) for atom in _walk(requirement))

    def smallest(self) -> tuple[Atom, ...]:
        """Return the smallest set, of equal ones the earliest."""
        least = self.bound((), self.missing)
        sizes = range(ceil(least - TINY), len(self.missing) + 1)
        return next(found for size in sizes if (found := self.first((), 0, size)))

    def first(self, chosen: tuple[Atom, ...], start: int, room: int) -> tuple[Atom, ...]:
        """Return the earliest set that adds at most `room` atoms to the chosen ones; empty if there is none."""
        for at in range(start, len(self.missing)):
            more, rest = (*chosen, self.missing[at]), self.missing[at + 1 :]
            least = self.bound(more, rest)
            if least == 0:
                return more
            if least <= room - 1 + TINY:
                found = self.first(more, at + 1, room - 1)
                if found:
                    return found
            if self.bound(chosen, rest) > room + TINY:
                break
        return ()

    def bound(self, chosen: Sequence[Atom], still_open: Sequence[Atom]) -> float:
        """Return how many of the open atoms it takes at least besides the chosen ones; infinite if all are too few."""
        return self._cost(self.requirement, chosen, still_open)

    def _cost(self, part: Requirement, chosen: Sequence[Atom], still_open: Sequence[Atom]) -> float:
        if isinstance(part, AtLeast):
            costs = sorted(self._cost(one, chosen, still_open) for one in part.of)
            return sum(costs[: part.count]) if part.count <= len(costs) else inf
        if covers(chosen, part):
            return 0
        return 1 / self.places[_group(part)] if covers(still_open, part) else inf


def _group(atom: Atom) -> str:
    """Name what an atom may be got together with: the same item, hours of the same category, sessions."""
    if isinstance(atom, Item):
        return atom.name
    return f"hours of {atom.category}" if isinstance(atom, Hours) else "sessions"


def as_json(atom: Atom, have: float | int = 0) -> Any:
    """Write an atom as the documented JSON; for hours and sessions with what is there already."""
    if isinstance(atom, Item):
        return atom.name
    if isinstance(atom, Hours):
        return {"hours": atom.category, "at_least": atom.at_least, "have": have}
    return {"sessions": atom.at_least, "have": have}
