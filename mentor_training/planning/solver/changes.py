"""Mentor changes between one block and the next as rows of the program that asks all blocks together; pure."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from mentor_training.planning.solver.model import Choices
from mentor_training.planning.solver.rows import Rows

Sum = tuple[float, list[int]]


@dataclass
class ChangeRows:
    """The rows of the variables `d`, numbered behind all others; made once for all blocks."""

    choices: Choices
    rows: Rows
    first: int
    count: int = 0
    together: dict[tuple[int, str, int], list[int]] = field(default_factory=lambda: defaultdict(list))
    covering: dict[tuple[int, str], list[int]] = field(default_factory=lambda: defaultdict(list))

    def add(self) -> int:
        """Add a `d` for each mentor who may be with somebody in a block and not in the one before; return how many."""
        choices, mentors = self.choices, len(self.choices.mentor)
        for number, (pair, mentor) in enumerate(zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True)):
            at, participant, _ = choices.pairs[pair]
            self.together[at, participant, mentor].append(number)
        for number, (at, participant, _) in enumerate(choices.pairs):
            self.covering[at, participant].append(mentors + number)
        for at in range(1, len(choices.blocks)):
            for participant in choices.question.floor.participants:
                for mentor in self._may_be_with(at, participant):
                    self._add(at, participant, mentor)
        return self.count

    def _may_be_with(self, at: int, participant: str) -> list[int]:
        here = {mentor for block, who, mentor in self.together if (block, who) == (at, participant)}
        return sorted(here | self._standing(at, participant))

    def _standing(self, at: int, participant: str) -> set[int]:
        place = self._places
        return {place[one.mentor] for one in self.choices.blocks[at].stays.get(participant, ()) if one.level}

    @property
    def _places(self) -> dict[str, int]:
        return {code: place for place, code in enumerate(self.choices.question.floor.volunteers)}

    def _with(self, at: int, participant: str, mentor: int) -> Sum:
        stands = mentor in self._standing(at, participant)
        return float(stands), [] if stands else self.together.get((at, participant, mentor), [])

    def _covered(self, at: int, participant: str) -> Sum:
        block = self.choices.blocks[at]
        there = block.stays.get(participant, ())
        whole = bool(there) and block.still_wanted(participant, there[0].station) <= 0
        return float(whole), [] if whole else self.covering.get((at, participant), [])

    def _add(self, at: int, participant: str, mentor: int) -> None:
        """Add the row by which `d` is 1 where a mentor is new to somebody who is covered in both blocks.

        Whoever is placed newly is so with somebody who is covered; who stands may be with somebody who is not.
        """
        here, now = self._with(at, participant, mentor), self._covered(at, participant)
        earlier, before = self._with(at - 1, participant, mentor), self._covered(at - 1, participant)
        if not (before[0] or before[1]):
            return
        stands = here[0] > 0
        plus = [*(now[1] if stands else here[1]), *before[1]]
        constant = (now[0] if stands else here[0]) + before[0] - earlier[0] - 1
        columns = np.array([*plus, *earlier[1], self.first + self.count], dtype=np.int64)
        numbers = np.array([1.0] * len(plus) + [-1.0] * (len(earlier[1]) + 1))
        self.rows.at_most([(np.zeros(len(columns), np.int64), columns, numbers)], np.array([-constant]))
        self.count += 1
