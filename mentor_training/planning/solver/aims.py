"""The five aims of a plan, in their order: what each counts, counted from the plan itself; pure.

1 `covered`: participant-blocks with all the mentors they take, each cleared; the more the better.
2 `supervised`: placements with a participant of somebody whose level for the pair is supervised; the fewer.
3 `changes`: mentors in a block whom the participant, covered in the block before too, did not have there; the fewer.
4 `kept`: placements of pairs who worked together in the last session both attended, and of pairs that are wished for,
  one each; the more.
5 `hours`: minutes that the required hours of those who are placed with somebody are still ahead, counted for each
  block they work in; the more.

Rules of this program. An aim is counted among the plans that are best by all before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from mentor_training.planning.rules import MENTOR, Floor, Placed
from mentor_training.planning.solver.question import Question
from mentor_training.program.catalog import Level

COVERED, SUPERVISED, CHANGES, KEPT, HOURS = "covered", "supervised", "changes", "kept", "hours"
NAMES = (COVERED, SUPERVISED, CHANGES, KEPT, HOURS)
MORE_IS_BETTER = frozenset({COVERED, KEPT, HOURS})


@dataclass(frozen=True)
class Aim:
    """One aim of a plan that was found: its value, and the best that any plan could reach, as far as is known.

    `proven`: no plan that is as good by the aims before it is better by this one.
    """

    name: str
    value: int
    bound: int
    proven: bool

    @property
    def gap(self) -> float:
        """Return how far the value is from the bound, as a share of the larger; 0 where it is reached."""
        largest = max(abs(self.value), abs(self.bound), 1)
        return abs(self.value - self.bound) / largest


def measured(question: Question, placed: Iterable[Placed]) -> dict[str, int]:
    """Return the value of each aim for a whole plan, standing placements included."""
    pairs = [one for one in placed if one.role == MENTOR and one.level > Level.NOT_YET]
    return {
        COVERED: len(covered(question.floor, pairs)),
        SUPERVISED: sum(one.level == Level.SUPERVISED for one in pairs),
        CHANGES: changes(question.floor, pairs),
        KEPT: sum(question.favors.get((one.participant or "", one.mentor), 0) for one in pairs),
        HOURS: sum(question.lacking.get(one.mentor, 0) for one in pairs),
    }


def worth(question: Question, added: Sequence[Placed]) -> dict[str, int]:
    """Return each aim of what is added, larger being better; mentor changes are of all that is placed."""
    standing, whole = measured(question, question.standing), measured(question, (*question.standing, *added))
    signed = {name: (1 if name in MORE_IS_BETTER else -1) for name in whole}
    return {name: signed[name] * (whole[name] - (0 if name == CHANGES else standing[name])) for name in whole}


def covered(floor: Floor, placed: Iterable[Placed]) -> set[tuple[int, str]]:
    """Return the blocks and participants with as many cleared mentors as they take at the station where they are."""
    teams = teams_of(placed)
    return {key for key, team in teams.items() if len(team) >= floor.wanted(key[1], team[0].station)}


def changes(floor: Floor, placed: Sequence[Placed]) -> int:
    """Count the mentors whom a participant did not have in the block before, where both blocks are covered."""
    teams, having = teams_of(placed), covered(floor, placed)
    found = 0
    for before, block in zip(floor.blocks, floor.blocks[1:], strict=False):
        for participant in floor.participants:
            if (before, participant) in having and (block, participant) in having:
                earlier = {one.mentor for one in teams[before, participant]}
                found += sum(one.mentor not in earlier for one in teams[block, participant])
    return found


def teams_of(placed: Iterable[Placed]) -> Mapping[tuple[int, str], list[Placed]]:
    """Return who is cleared and placed with each participant in each block."""
    teams: dict[tuple[int, str], list[Placed]] = {}
    for one in placed:
        if one.participant and one.level > Level.NOT_YET:
            teams.setdefault((one.block, one.participant), []).append(one)
    return teams
