"""A plan that was found: kept in codes and figures, and measured again by the floor as it is now; pure."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from mentor_training.planning.rules import LEAD, Floor, Placed, refusals
from mentor_training.planning.solver.aims import Aim
from mentor_training.planning.solver.search import Found

_FIELDS = ("block", "station", "mentor", "role", "participant")


@dataclass(frozen=True)
class Proposal:
    """What a search found, and the floor that it was asked about: who stood, who and what was expected, who was away.

    Placements have level 0: levels are asked anew whenever they matter. `stopped` says that somebody ended the search.
    """

    added: tuple[Placed, ...]
    aims: tuple[Aim, ...]
    seconds: float
    stopped: bool
    standing: frozenset[Placed]
    expected: frozenset[str]
    open: frozenset[str]
    away: frozenset[str] = frozenset()

    def aim(self, name: str) -> Aim:
        """Return one aim."""
        return next(one for one in self.aims if one.name == name)


@dataclass(frozen=True)
class Fitting:
    """A proposal beside the floor of now: what can be placed, what stands already, what no rule lets in any more."""

    new: tuple[Placed, ...]
    already: tuple[Placed, ...]
    broken: Mapping[Placed, tuple[str, ...]]

    @property
    def reasons(self) -> tuple[str, ...]:
        """Return every reason once."""
        return tuple(dict.fromkeys(reason for reasons in self.broken.values() for reason in reasons))


def as_json(found: Found, floor: Floor, standing: Iterable[Placed], stopped: bool) -> dict[str, Any]:
    """Write what was found as a job keeps it: codes and figures, no name."""
    return {
        "added": [_row(one) for one in found.added],
        "aims": [[one.name, one.value, one.bound, one.proven] for one in found.aims],
        "seconds": round(found.seconds, 3),
        "stopped": stopped,
        "standing": [_row(one) for one in standing],
        "expected": sorted({*floor.participants, *floor.volunteers}),
        "open": sorted(_open(floor)),
        "away": sorted(_away(floor)),
    }


def from_json(told: Mapping[str, Any]) -> Proposal:
    """Read what `as_json` wrote."""
    return Proposal(
        tuple(_placed(row) for row in told["added"]),
        tuple(Aim(*row) for row in told["aims"]),
        told["seconds"],
        told["stopped"],
        frozenset(_placed(row) for row in told["standing"]),
        frozenset(told["expected"]),
        frozenset(told["open"]),
        frozenset(told["away"]),
    )


def _row(one: Placed) -> list[Any]:
    return [getattr(one, name) for name in _FIELDS]


def _placed(row: Iterable[Any]) -> Placed:
    return Placed(**dict(zip(_FIELDS, row, strict=True)), level=0)


def _open(floor: Floor) -> set[str]:
    return {
        f"{slug} in block {block}"
        for slug in floor.stations
        for block in floor.blocks
        if (block, slug) not in floor.closed
    }


def _away(floor: Floor) -> set[str]:
    return {f"{code} in block {block}" for block, code in (*floor.missed, *floor.unavailable)}


def fitting(
    floor: Floor, placed: Collection[Placed], proposed: Iterable[Placed], level_now: Callable[[Placed], int]
) -> Fitting:
    """Hold each proposed placement to every rule, leads first, with the levels of now.

    Nobody is placed unasked who has said by now that they cannot come; by hand they may be.
    """
    there = {replace(one, level=0) for one in placed}
    whole, new, already, broken = list(placed), [], [], {}
    for one in sorted(proposed, key=lambda one: one.role != LEAD):
        if replace(one, level=0) in there:
            already.append(one)
            continue
        now = replace(one, level=level_now(one))
        reasons = (*refusals(floor, whole, now), *_cannot_come(floor, now))
        if reasons:
            broken[now] = reasons
        else:
            whole.append(now)
            new.append(now)
    return Fitting(tuple(new), tuple(already), broken)


def _cannot_come(floor: Floor, one: Placed) -> tuple[str, ...]:
    away = (one.block, one.mentor) in floor.unavailable
    return (f"{floor.call(one.mentor)} says that they cannot come in block {one.block}.",) if away else ()


def changed_since(asked: Proposal, floor: Floor, placed: Iterable[Placed]) -> tuple[str, ...]:
    """Say, in words without a name, what of a floor is not as it was when the search was asked.

    What was proposed and stands by now is no change.
    """
    now = {replace(one, level=0) for one in placed}
    people, spots = {*floor.participants, *floor.volunteers}, _open(floor)
    counted = (
        (len(now - asked.standing - set(asked.added)), "placement was made", "placements were made"),
        (len(asked.standing - now), "placement was taken out", "placements were taken out"),
        (len(people - asked.expected), "more person is expected", "more people are expected"),
        (len(asked.expected - people), "person is no longer expected", "people are no longer expected"),
        (
            len(spots ^ asked.open),
            "station and block was opened or closed",
            "stations and blocks were opened or closed",
        ),
        (
            len(_away(floor) ^ asked.away),
            "answer to who comes when has changed",
            "answers to who comes when have changed",
        ),
    )
    return tuple(f"{many} {one if many == 1 else more}" for many, one, more in counted if many)
