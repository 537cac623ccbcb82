"""What somebody new can ever get under a program, and which rungs nobody ever reaches; pure.

Modules and papers can always be had, and a session attended (with the direct hours that it brings) by whoever may be
on the floor at all. Hours of training come from modules alone. A skill that is seen live, or with participants, can
be had only if somebody new may begin to work somewhere; if its sign-off asks for what cannot be, never.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from mentor_training.program.catalog import Need, SignOffRule, Skill, Station
from mentor_training.program.requirements import (
    Atom,
    Hours,
    Requirement,
    Sessions,
    all_of,
    is_met,
    smallest_missing,
)

Holds = Callable[[Atom], bool]


@dataclass(frozen=True)
class OutOfReach:
    """The lowest rung of a ladder that nobody new ever reaches, and what of it can never be had."""

    place: int
    atoms: tuple[Atom, ...]


def sign_off_faults(rule: SignOffRule) -> bool:
    """Say whether no number of observations ever makes a skill ready under a rule."""
    most = max(rule.days, rule.observers, rule.participants, rule.live_at_least, rule.met_in_a_row)
    return most > rule.observations or rule.days - 1 > rule.fresh_days


def takes_people(rule: SignOffRule) -> bool:
    """Say whether a skill is only signed off when it was seen with participants."""
    return rule.live_at_least > 0 or rule.participants > 0


@dataclass(frozen=True)
class Reach:
    """What can be had under a program: `training_minutes` are those of all its modules together."""

    entry: Requirement
    skills: Mapping[str, Skill]
    stations: Mapping[str, Station]
    training_minutes: int

    def holds(self, begun: bool) -> Holds:
        """Return what somebody new can get who may begin to work somewhere, or who may not."""
        return lambda atom: self._can_get(atom, begun)

    def _can_get(self, atom: Atom, begun: bool) -> bool:
        if isinstance(atom, Hours):
            return atom.category != "training" or Fraction(str(atom.at_least)) * 60 <= self.training_minutes
        if isinstance(atom, Sessions):
            return True
        skill = self.skills.get(atom.name.removeprefix("skill/")) if atom.name.startswith("skill/") else None
        if skill is None:
            return True
        return not sign_off_faults(skill.sign_off) and (begun or not takes_people(skill.sign_off))

    @cached_property
    def anybody_begins(self) -> bool:
        """Return whether there is a station or duty at which somebody new can begin."""
        holds = self.holds(begun=False)
        return any(is_met(all_of(self.entry, one.ladder.rungs[0]), holds) for one in self.stations.values())

    def out_of_reach(self, thing: Station | Need) -> OutOfReach | None:
        """Return the lowest rung of a station or need that nobody new ever reaches; None where all can be reached."""
        holds = self.holds(self.anybody_begins)
        for place in range(thing.ladder.top):
            required = all_of(self.entry, *thing.ladder.rungs[: place + 1])
            if not is_met(required, holds):
                return OutOfReach(place, smallest_missing(required, holds))
        return None
