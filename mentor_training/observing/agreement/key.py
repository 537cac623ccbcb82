"""One observer against an agreed key: how many marks are the same, and which critical acts were missed; pure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from mentor_training.observing.agreement.marks import Mark, Marks, Unit
from mentor_training.observing.rules.results import AS_DONE, Marking


@dataclass(frozen=True)
class AgainstKey:
    """How one observer stands to the key: `same` of `units` that both marked.

    `critical` counts the unsafe acts: units of critical criteria that the key says were not done, and of any criterion
    at which it says stopped. `missed` are those of them which the observer marked as done, or did not mark at all.
    """

    observer: str
    units: int
    same: int
    critical: int
    missed: tuple[Unit, ...]

    @property
    def percent(self) -> Fraction | None:
        """Return the percentage of the same marks; None where the two marked nothing in common."""
        return Fraction(100 * self.same, self.units) if self.units else None


def against_key(marks: Marks, key: str, critical: Collection[str]) -> tuple[AgainstKey, ...]:
    """Hold every observer to the one whose marks are the key; `critical` names the critical criteria.

    Marks that are numbers say nothing about done: an act is then missed where the two numbers differ. A rule of this
    program.
    """
    agreed = marks.of(key)
    acts = [unit for unit, mark in agreed.items() if _is_unsafe(mark, unit.criterion in critical)]
    return tuple(_one(observer, marks.of(observer), agreed, acts) for observer in marks.observers if observer != key)


def _one(observer: str, own: dict[Unit, Mark], agreed: dict[Unit, Mark], acts: list[Unit]) -> AgainstKey:
    both = [unit for unit in agreed if unit in own]
    same = sum(own[unit] == agreed[unit] for unit in both)
    missed = tuple(unit for unit in acts if _missed(own.get(unit), agreed[unit]))
    return AgainstKey(observer, len(both), same, len(acts), missed)


def _is_unsafe(mark: Mark, critical: bool) -> bool:
    return mark not in AS_DONE if critical else mark == Marking.STOPPED


def _missed(own: Mark | None, agreed: Mark) -> bool:
    if own is None:
        return True
    return own != agreed if isinstance(agreed, Fraction) else own in AS_DONE
