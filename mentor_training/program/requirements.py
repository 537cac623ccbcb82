"""The requirement language: what must be held for a rung, an entry or a certificate.

A requirement is monotone: holding more never makes a met requirement unmet. Everything here rests on that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
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

    Atoms without which nothing helps are taken first; only over the rest is there anything to choose.
    """
    if is_met(requirement, holds):
        return ()
    missing = [atom for atom in atoms_of(requirement) if not holds(atom)]

    def met_with(chosen: Iterable[Atom]) -> bool:
        have = tuple(chosen)
        return is_met(requirement, lambda atom: holds(atom) or covers(have, atom))

    forced = [one for one in missing if not met_with(other for other in missing if other != one)]
    loose = [atom for atom in missing if atom not in forced]
    for size in range(len(loose) + 1):
        for chosen in combinations(loose, size):
            if met_with([*forced, *chosen]):
                return tuple(atom for atom in missing if atom in forced or atom in chosen)
    raise ValueError("a requirement that nothing can meet")


def as_json(atom: Atom, have: float | int = 0) -> Any:
    """Write an atom as the documented JSON; for hours and sessions with what is there already."""
    if isinstance(atom, Item):
        return atom.name
    if isinstance(atom, Hours):
        return {"hours": atom.category, "at_least": atom.at_least, "have": have}
    return {"sessions": atom.at_least, "have": have}
