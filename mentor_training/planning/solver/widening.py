"""Aims asked of a part of the choices first, which is quick, and of all where that is not enough; pure.

What is enough is said by bounds: those that are given, and those of the floor without its stations.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.model import Choices, rows_of
from mentor_training.planning.solver.program import Program
from mentor_training.planning.solver.relaxing import merged, relaxed_rows
from mentor_training.planning.solver.rows import Numbers, Rows
from mentor_training.planning.solver.thinning import MOST_ASKED_WHOLE, chosen, widened
from mentor_training.planning.solver.watch import Share

Make = Callable[[Choices, Rows], Program]
# The time for one question of the aim at hand.
Time = Callable[[], Share]


class Widening:
    """The best plan so far of some blocks, aim by aim; `part` says which pairs of all choices are asked first."""

    def __init__(self, whole: Choices, part: npt.NDArray[np.bool_], make: Make, time: Time) -> None:
        self._whole, self._part, self._make, self._time = whole, part, make, time
        few = chosen(whole, part)
        self._program = make(few, rows_of(few))
        self._settled: list[tuple[str, int]] = []
        self._all: Program | None = None
        self._relaxed: Program | None = None

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Return the best plan by the aims settled so far."""
        return self._asked.placed(self._program.values)

    @property
    def _asked(self) -> Choices:
        return chosen(self._whole, self._part)

    def begin(self, placed: tuple[Placed, ...]) -> None:
        """Begin from a plan within the part."""
        self._program.begin(self._asked.values_of(placed))

    def keep(self, name: str) -> None:
        """Let no aim that is settled later make this one worse than it is."""
        self._settled.append((name, self._program.value(name)))
        for program in (self._program, self._all, self._relaxed):
            if program is not None:
                program.keep(*self._settled[-1])

    def settle(self, name: str, bound: float) -> float:
        """Make an aim as large as it can be, keep it there, and return what it is at the most."""
        entire = bool(self._part.all())
        now = self._program.best(name, bound, self._time())
        bound = now.bound if entire else bound
        if now.value < bound and not entire:
            bound = self._by_relaxed(name, now.value, bound)
        if now.value < bound and not entire and len(self._whole.mentor) <= MOST_ASKED_WHOLE:
            bound = self._by_all(name, now.value, bound)
        self.keep(name)
        return max(bound, float(self._settled[-1][1]))

    def _by_relaxed(self, name: str, value: int, bound: float) -> float:
        if self._relaxed is None:
            few = merged(self._whole)
            self._relaxed = self._with_settled(self._make(few, relaxed_rows(self._whole, few)))
        return max(float(value), self._relaxed.best(name, bound, self._time()).bound)

    def _by_all(self, name: str, value: int, bound: float) -> float:
        """Ask all choices, beginning from what the part gave; where they give more, the part is left behind."""
        if self._all is None:
            self._all = self._with_settled(self._make(self._whole, rows_of(self._whole)))
        self._all.begin(self._widened())
        now = self._all.best(name, bound, self._time())
        if now.value > value:
            self._program, self._part, self._all = self._all, np.ones(len(self._part), dtype=bool), None
        return now.bound

    def _widened(self) -> Numbers:
        base = self._program.values[: sum(self._asked.sizes)]
        return widened(self._whole, self._part, base)

    def _with_settled(self, program: Program) -> Program:
        for name, value in self._settled:
            program.keep(name, value)
        return program
