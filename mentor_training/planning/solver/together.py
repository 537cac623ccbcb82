"""All blocks in one program, where they differ and only together tell how few mentor changes there can be; pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, SUPERVISED, worth
from mentor_training.planning.solver.model import Choices, choices_of
from mentor_training.planning.solver.program import of_blocks
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.settling import part_of
from mentor_training.planning.solver.thinning import MOST_ASKED_WHOLE
from mentor_training.planning.solver.watch import Watch
from mentor_training.planning.solver.widening import Widening

Bounds = dict[str, float]
ALONE, BINDING = (COVERED, SUPERVISED), (CHANGES, KEPT, HOURS)


def bound_together(
    question: Question, blocks: Sequence[BlockQuestion], added: tuple[Placed, ...], bounds: Bounds, watch: Watch
) -> tuple[tuple[Placed, ...], Bounds]:
    """Return a plan of all blocks that is no worse by any aim in turn, with tighter bounds for those that bind blocks.

    Only where each block is proven by the aims before, and the floor is not too large for it; else what was given.
    """
    choices = choices_of(question, blocks)
    has = worth(question, added)
    if not choices.pairs or len(choices.mentor) > MOST_ASKED_WHOLE or any(has[name] < bounds[name] for name in ALONE):
        return added, bounds
    widening = Widening(choices, _part(question, choices, added), of_blocks, lambda: watch.share(3))
    widening.begin(added)
    for name in ALONE:
        widening.keep(name)
    for name in BINDING:
        watch.say(name)
        bounds = bounds | {name: widening.settle(name, bounds[name])}
    return widening.placed, bounds


def _part(question: Question, choices: Choices, added: Collection[Placed]) -> npt.NDArray[np.bool_]:
    """Return the pairs to ask first: of each block those that it would be asked alone, and those that are placed."""
    there = {(one.block, one.participant, one.station) for one in added}
    placed = [(choices.blocks[at].number, participant, slug) in there for at, participant, slug in choices.pairs]
    alone = [part_of(choices_of(question, [block]), {}) for block in choices.blocks]
    return np.asarray(np.concatenate(alone) | np.array(placed, dtype=bool), dtype=bool)
