"""The best plan of one block, one aim after the other; pure but for the time it takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, NAMES, SUPERVISED
from mentor_training.planning.solver.bounds import covered_bound, heaviest, weight_bound
from mentor_training.planning.solver.goals import keeping, using
from mentor_training.planning.solver.model import Choices, choices_of
from mentor_training.planning.solver.program import Before, of_one_block
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import thinned
from mentor_training.planning.solver.watch import Watch
from mentor_training.planning.solver.widening import Widening


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
    firm = firm_bounds(whole)
    if not whole.pairs:
        return Settled((), firm, firm)
    # Most questions take a moment; whichever is hard gets half of what is left.
    widening = Widening(whole, part_of(whole, before), partial(of_one_block, before), lambda: watch.share(shares * 2))
    bounds = {}
    for name in NAMES:
        watch.say(name)
        bounds[name] = widening.settle(name, firm[name])
    return Settled(widening.placed, bounds, firm | {name: bounds[name] for name in (COVERED, SUPERVISED)})


def firm_bounds(whole: Choices) -> dict[str, float]:
    """Return what each aim is at the most in one block, whatever the other blocks and the other aims are."""
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    return {
        COVERED: float(covered_bound(whole)), SUPERVISED: 0.0, CHANGES: 0.0,
        KEPT: float(weight_bound(whole, kept)), HOURS: float(weight_bound(whole, hours)),
    }  # fmt: skip


def part_of(whole: Choices, before: Before) -> npt.NDArray[np.bool_]:
    """Return the pairs to ask first: at the stations with most to choose from, and what is wished for."""
    kept, hours = (goal(whole)[: len(whole.mentor)] for goal in (keeping, using))
    return thinned(whole, (kept > 0) | _known(whole, before) | _heavy(whole, kept, hours))


def _known(whole: Choices, before: Before) -> npt.NDArray[np.bool_]:
    volunteers = whole.question.floor.volunteers
    pairs = zip(whole.of_pair.tolist(), whole.mentor.tolist(), strict=True)
    return np.array([volunteers[one] in before.get(whole.pairs[pair][1], ()) for pair, one in pairs], dtype=bool)


def _heavy(whole: Choices, kept: Numbers, hours: Numbers) -> npt.NDArray[np.bool_]:
    return heaviest(whole, kept * (1 + hours.max(initial=0.0)) + hours)
