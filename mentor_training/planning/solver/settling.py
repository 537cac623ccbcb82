"""The best plan of one block, one aim after the other; pure but for the time it takes.

Each aim is first asked of a part of the choices, which is quick. Where that does not reach what flows, matchings and
the floor without its stations say can be reached at the most, all choices are asked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, NAMES, SUPERVISED
from mentor_training.planning.solver.bounds import covered_bound, heaviest, weight_bound
from mentor_training.planning.solver.goals import keeping, using
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.program import Before, Program, of_one_block
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.relaxing import merged, relaxed_rows
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import MOST_ASKED_WHOLE, chosen, thinned, widened
from mentor_training.planning.solver.watch import Watch


@dataclass(frozen=True)
class Settled:
    """What was found for one block: its placements, and what each aim, larger being better, is at the most.

    A bound holds among the plans of the block alone that are best by the aims before it, those of `firm` whatever the
    other blocks are.
    """

    placed: tuple[Placed, ...]
    bounds: Mapping[str, float]
    firm: Mapping[str, float]


def settle(question: Question, block: BlockQuestion, before: Before, watch: Watch, shares: int) -> Settled:
    """Return the best plan of one block, in its share of the time that is left.

    `before` says whom each participant who is covered in the block before has there.
    """
    whole = choices_of(question, [block])
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    firm = {
        COVERED: float(covered_bound(whole)), SUPERVISED: 0.0, CHANGES: 0.0,
        KEPT: float(weight_bound(whole, kept)), HOURS: float(weight_bound(whole, hours)),
    }  # fmt: skip
    if not whole.pairs:
        return Settled((), firm, firm)
    settling, bounds = _Settling(whole, before, watch, shares), {}
    for name in NAMES:
        watch.say(name)
        bounds[name] = settling.settle(name, firm[name])
    return Settled(settling.placed, bounds, firm | {name: bounds[name] for name in (COVERED, SUPERVISED)})


class _Settling:
    """A block asked aim by aim, first by a part of its choices and, where that is not enough, by all."""

    def __init__(self, whole: Choices, before: Before, watch: Watch, shares: int) -> None:
        self.whole, self.before, self.watch, self.shares = whole, before, watch, shares
        self.part = _part(whole, before)
        few = chosen(whole, self.part)
        self.program = of_one_block(few, rows_of(few), before)
        self.settled: list[tuple[str, int]] = []
        self._all: Program | None = None
        self._relaxed: Program | None = None

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Return the best plan by the aims settled so far."""
        return chosen(self.whole, self.part).placed(self.program.values)

    @property
    def seconds(self) -> float:
        """Return the time for one question: most take a moment, and whichever is hard gets half of what is left."""
        return self.watch.left / self.shares / 2

    def settle(self, name: str, bound: float) -> float:
        """Make an aim as large as it can be, keep it there, and return what it is at the most."""
        entire = bool(self.part.all())
        now = self.program.best(name, bound, self.seconds)
        bound = now.bound if entire else bound
        if now.value < bound and not entire:
            bound = self._by_relaxed(name, now.value, bound)
        if now.value < bound and not entire and len(self.whole.mentor) <= MOST_ASKED_WHOLE:
            bound = self._by_all(name, now.value, bound)
        self.settled.append((name, self.program.value(name)))
        for program in (self.program, self._all, self._relaxed):
            if program is not None:
                program.keep(*self.settled[-1])
        return max(bound, float(self.settled[-1][1]))

    def _by_relaxed(self, name: str, value: int, bound: float) -> float:
        if self._relaxed is None:
            few = merged(self.whole)
            self._relaxed = self._with_settled(of_one_block(few, relaxed_rows(self.whole, few), self.before))
        return max(float(value), self._relaxed.best(name, bound, self.seconds).bound)

    def _by_all(self, name: str, value: int, bound: float) -> float:
        """Ask all choices, beginning from what the part gave; where they give more, the part is left behind."""
        if self._all is None:
            self._all = self._with_settled(of_one_block(self.whole, rows_of(self.whole), self.before))
        self._all.values = widened(self.whole, self.part, self.program.values)
        now = self._all.best(name, bound, self.seconds)
        if now.value > value:
            self.program, self.part, self._all = self._all, np.ones(len(self.part), dtype=bool), None
        return now.bound

    def _with_settled(self, program: Program) -> Program:
        for name, value in self.settled:
            program.keep(name, value)
        return program


def _part(whole: Choices, before: Before) -> npt.NDArray[np.bool_]:
    """Return the pairs to ask first: at the stations with most to choose from, and what is wished for."""
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    return thinned(whole, (kept > 0) | _known(whole, before) | _heavy(whole, kept, hours))


def _known(whole: Choices, before: Before) -> npt.NDArray[np.bool_]:
    volunteers = whole.question.floor.volunteers
    pairs = zip(whole.of_pair.tolist(), whole.mentor.tolist(), strict=True)
    return np.array([volunteers[one] in before.get(whole.pairs[pair][1], ()) for pair, one in pairs], dtype=bool)


def _heavy(whole: Choices, kept: Numbers, hours: Numbers) -> npt.NDArray[np.bool_]:
    return heaviest(whole, kept * (1 + hours.max(initial=0.0)) + hours)
