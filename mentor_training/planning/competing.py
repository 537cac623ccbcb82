"""Who competes for the same mentors where there are too few: a set that breaks Hall's condition; pure.

A block's participants can all have mentors of their own if and only if every set of them has, among all who are cleared
for any of it, as many as it takes (P. Hall 1935; from memory). A set with fewer is why somebody in it goes without.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from mentor_training.planning.rules import MENTOR, Floor, Placed
from mentor_training.program.catalog import Level

LevelOf = Callable[[str, str, str | None], int]


@dataclass(frozen=True)
class Competing:
    """Participants who take `wanted` mentors between them in a block, and the fewer who are cleared for any of them.

    Not among the mentors are those who lead, are on a duty or in another session at that time, or say that they cannot
    come.
    """

    participants: tuple[str, ...]
    mentors: tuple[str, ...]
    wanted: int


def competing(
    floor: Floor, placed: Collection[Placed], level_of: LevelOf, block: int, participant: str
) -> Competing | None:
    """Return the participants with whom one who goes without competes; None where those reached have enough mentors.

    From the one who goes without: all who are cleared for them, those with whom these are, all who are cleared for
    those, and so on. They are all there is for the participants that were reached; where each takes one, they are too
    few exactly if none of them is free.
    """
    here = [one for one in placed if one.block == block]
    at_work = {one.mentor: one.participant for one in here if one.role == MENTOR}
    away = {one.mentor for one in here if one.role != MENTOR}
    away |= {code for at, code in (*floor.elsewhere, *floor.unavailable) if at == block}
    reached, mentors, asked = [participant], set[str](), set[str]()
    while waiting := [one for one in reached if one not in asked]:
        asked.update(waiting)
        mentors |= {who for one in waiting for who in _cleared(floor, level_of, block, one)} - away
        reached += sorted({at_work.get(who) or "" for who in mentors} - set(reached) - {""})
    wanted = sum(min((floor.wanted(one, slug) for slug in floor.open_places(block)), default=1) for one in reached)
    return Competing(tuple(reached), tuple(sorted(mentors)), wanted) if len(mentors) < wanted else None


def _cleared(floor: Floor, level_of: LevelOf, block: int, participant: str) -> set[str]:
    places = floor.open_places(block)
    return {who for who in floor.volunteers if any(level_of(who, slug, participant) > Level.NOT_YET for slug in places)}
