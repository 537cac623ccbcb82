"""Small floors to ask the solver about, from the levels of whoever is named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from mentor_training.planning.rules import Floor, Placed
from mentor_training.planning.solver.question import Levels, Question
from mentor_training.planning.solver.search import Found, best_plan
from mentor_training.program.catalog import Ladder, Station

LevelsOf = dict[tuple[str, str, str | None], int]
Told = tuple[int, str, str, str, str | None]


def station(slug: str, capacity: int = 4, leads: int = 0) -> Station:
    return Station(slug, slug.title(), Ladder(()), capacity=capacity, leads=leads)


def question(
    floor: Floor, levels: Mapping[tuple[str, str, str | None], int], standing: Sequence[Placed] = (),
    favors: Mapping[tuple[str, str], int] | None = None, lacking: Mapping[str, int] | None = None,
) -> Question:  # fmt: skip
    """Ask about a floor with these levels; whoever is not named has level 0."""

    def levels_at(slug: str, participant: str | None) -> Levels:
        return np.array([levels.get((who, slug, participant), 0) for who in floor.volunteers], dtype=np.uint8)

    return Question(floor, levels_at, tuple(standing), favors or {}, lacking or {})


def floor_of(levels: LevelsOf, blocks: int = 1, leads: int = 0, mentors: int = 1, capacity: int = 4) -> Floor:
    """Return a floor of whoever and whatever is named in the levels."""
    stations = {slug: station(slug, capacity, leads) for slug in dict.fromkeys(slug for _, slug, _ in levels)}
    participants = tuple(sorted({one for *_, one in levels if one}))
    volunteers = tuple(sorted({who for who, *_ in levels}))
    wanted = {(one, slug): mentors for one in participants for slug in stations}
    return Floor(tuple(range(1, blocks + 1)), stations, participants, volunteers, 2, {}, wanted)


def told(found: Found) -> list[Told]:
    """Return what was found in plain words, in order."""
    plain = [(one.block, one.station, one.mentor, one.role, one.participant) for one in found.added]
    return sorted(plain, key=lambda one: (one[0], one[3], one[4] or "", one[2]))


def best(levels: LevelsOf, **more: int) -> list[Told]:
    """Return the best plan of a floor of whoever is named."""
    return told(best_plan(question(floor_of(levels, **more), levels)))
