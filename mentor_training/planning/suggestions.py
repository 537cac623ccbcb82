"""Whom to observe next at which skill, so that most participant-blocks of coming sessions become covered; pure.

What a sign-off would change is counted by the bound of flows and matchings that the solver proves its plans by: how
many participants of a block can be covered at the most, by who is cleared and by room. Leads, supervision and who is
placed already are left out of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.bounds import covered_bound
from mentor_training.planning.solver.model import choices_of
from mentor_training.planning.solver.question import Levels, LevelsAt, Question
from mentor_training.program.catalog import Level

# How long one observation takes, its marks included: common practice, no source; a coordinator may say otherwise.
MINUTES_EACH = 15

# A volunteer and a skill; and with whom a volunteer can work where: station and participant.
Key = tuple[str, str]
Pair = tuple[str, str]
# With whom and where a volunteer could work if some skills were signed off besides what they hold.
Opened = Callable[[str, frozenset[str]], frozenset[Pair]]


@dataclass(frozen=True)
class Candidate:
    """A skill of a volunteer that one more met observation makes ready for sign-off, by one of some observers."""

    person: str
    skill: str
    observers: tuple[str, ...]

    @property
    def key(self) -> Key:
        """Return the volunteer and the skill."""
        return (self.person, self.skill)


@dataclass(frozen=True)
class Line:
    """One suggestion: who observes whom at what, how many more participant-blocks can be covered than by the lines
    above it, and how many then can in all.
    """

    person: str
    skill: str
    observer: str
    gain: int
    coverable: int


@dataclass(frozen=True)
class Suggested:
    """The lines in their order; how many participant-blocks there are, how many can be covered without any of them,
    and how many if every skill that is one observation away were signed off.
    """

    lines: tuple[Line, ...]
    wanted: int
    before: int
    at_most: int

    @property
    def after(self) -> int:
        """Return how many can be covered with all the lines."""
        return self.lines[-1].coverable if self.lines else self.before

    @property
    def is_proven(self) -> bool:
        """Say whether no other choice does more: as much can be covered as with every such skill signed off."""
        return self.after >= self.at_most


@dataclass(frozen=True)
class Ahead:
    """A coming session: its floor, everybody's levels as they stand, and what sign-offs would open in it."""

    floor: Floor
    levels_at: LevelsAt
    opened: Opened
    _known: dict[frozenset[tuple[str, Pair]], int] = field(default_factory=dict, repr=False, compare=False)

    @property
    def wanted(self) -> int:
        """Return how many participant-blocks there are."""
        return len(self.floor.attended)

    def coverable(self, held: Iterable[Key]) -> int:
        """Return how many participant-blocks can be covered at the most if these skills were signed off besides."""
        if self._whole:
            return self.wanted
        skills: dict[str, set[str]] = {}
        for person, skill in held:
            skills.setdefault(person, set()).add(skill)
        there = [who for who in skills if who in self.floor.volunteers]
        raised = frozenset((who, pair) for who in there for pair in self.opened(who, frozenset(skills[who])))
        if raised not in self._known:
            self._known[raised] = self._count(raised)
        return self._known[raised]

    @cached_property
    def _whole(self) -> bool:
        """Say whether all can be covered as it is: no sign-off adds anything then."""
        return self._count(frozenset()) >= self.wanted

    def _count(self, raised: frozenset[tuple[str, Pair]]) -> int:
        question = Question(self.floor, _raised(self.floor, self.levels_at, raised))
        counted: dict[tuple[object, ...], int] = {}
        found = 0
        for number in self.floor.blocks:
            block = question.block(number)
            if block.kind not in counted:
                counted[block.kind] = covered_bound(choices_of(question, [block]))
            found += counted[block.kind]
        return found


def _raised(floor: Floor, levels_at: LevelsAt, raised: frozenset[tuple[str, Pair]]) -> LevelsAt:
    """Return the levels where who could work with somebody counts as supervised at least: the bound asks no more."""
    places = {code: place for place, code in enumerate(floor.volunteers)}
    by_pair: dict[Pair, list[int]] = {}
    for who, pair in raised:
        by_pair.setdefault(pair, []).append(places[who])

    def levels(station: str, participant: str | None) -> Levels:
        found = levels_at(station, participant)
        higher = by_pair.get((station, participant or ""))
        if not higher:
            return found
        changed = found.copy()
        changed[higher] = np.maximum(changed[higher], Level.SUPERVISED)
        return changed

    return levels


def suggest(
    ahead: Sequence[Ahead], candidates: Sequence[Candidate], minutes: Mapping[str, int], each: int = MINUTES_EACH
) -> Suggested:
    """Return whom to observe, within the minutes that each observer has, `each` for one observation; 1 or more.

    Line by line the one that adds most to what the lines above it open, of equals the first that was handed in, by
    whichever of its observers has most time left; none that adds nothing. That is greedy: it is not proven best but
    where `is_proven` says so. A rule of this program.
    """
    left, free, lines = list(candidates), dict(minutes), list[Line]()
    chosen = frozenset[Key]()
    now = before = _coverable(ahead, chosen)
    at_most = _coverable(ahead, frozenset(one.key for one in left if _observer(one, free, each)))
    while now < at_most and (able := [one for one in left if _observer(one, free, each)]):
        best = max(able, key=lambda one: _coverable(ahead, chosen | {one.key}))
        then = _coverable(ahead, chosen | {best.key})
        if then <= now:
            break
        observer = _observer(best, free, each)
        lines.append(Line(*best.key, observer, then - now, then))
        free[observer] -= each
        left.remove(best)
        chosen, now = chosen | {best.key}, then
    return Suggested(tuple(lines), sum(one.wanted for one in ahead), before, at_most)


def _coverable(ahead: Iterable[Ahead], held: frozenset[Key]) -> int:
    return sum(one.coverable(held) for one in ahead)


def _observer(one: Candidate, free: Mapping[str, int], each: int) -> str:
    """Return which of the observers has most time left, of equals the first; nothing where none has enough."""
    able = [code for code in one.observers if free.get(code, 0) >= each]
    return max(able, key=lambda code: free[code], default="")
