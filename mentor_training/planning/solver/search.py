"""Searching for the best plan of a session; pure but for the time it takes.

Blocks in which the same people are free and the same stand are one question: its best plan, repeated, is best for all
of them, with no mentor changed. Blocks that differ are asked with the same teams throughout; where that is not as good
as can be, one after the other, each with an eye on the one before, and then, for what binds them, together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.aims import (
    CHANGES,
    MORE_IS_BETTER,
    NAMES,
    Aim,
    covered,
    measured,
    teams_of,
    worth,
)
from mentor_training.planning.solver.leading import without_idle_leads
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.settling import settle
from mentor_training.planning.solver.spreading import spread
from mentor_training.planning.solver.throughout import with_same_teams
from mentor_training.planning.solver.together import bound_together
from mentor_training.planning.solver.watch import Say, Watch, watch_for

SECONDS = 60.0


@dataclass(frozen=True)
class Found:
    """A plan that was found: what is added to those who stand, its aims, and how many seconds it took."""

    added: tuple[Placed, ...]
    aims: tuple[Aim, ...]
    seconds: float

    def aim(self, name: str) -> Aim:
        """Return one aim."""
        return next(one for one in self.aims if one.name == name)


def best_plan(
    question: Question, seconds: float = SECONDS, say: Say = lambda _: None, stopped: Callable[[], bool] = lambda: False
) -> Found:
    """Return the best plan that is found in so many seconds; each aim says whether it is proven.

    `say` is told of each step, and `stopped` asked all the while whether to leave it at the best so far.
    """
    watch = watch_for(seconds, say, stopped)
    blocks = [question.block(number) for number in question.floor.blocks]
    if len({block.kind for block in blocks}) == 1:
        settled = settle(question, blocks[0], {}, watch, 1)
        added = tuple(replace(one, block=block.number) for block in blocks for one in settled.placed)
        bounds = {name: bound * len(blocks) for name, bound in settled.bounds.items()}
    else:
        added, bounds = _differing(question, blocks, watch)
    return _found(question, without_idle_leads(question, spread(question, added, watch)), bounds, watch)


def _differing(
    question: Question, blocks: Sequence[BlockQuestion], watch: Watch
) -> tuple[tuple[Placed, ...], dict[str, float]]:
    """Return the best plan of blocks that differ, and what each aim is at the most.

    With the same teams throughout, if that is as good as can be; else block by block, and then all together.
    """
    same = with_same_teams(question, blocks, watch)
    if same and same.binding and same.is_as_good(question, same.firm):
        return same.added, {**same.firm, **same.binding}
    added, bounds = _one_by_one(question, blocks, watch)
    if same:
        added = max(added, same.added, key=lambda one: tuple(worth(question, one)[name] for name in NAMES))
        bounds |= same.binding if same.is_as_good(question, bounds) else {}
    return bound_together(question, blocks, added, bounds, watch)


def _one_by_one(
    question: Question, blocks: Sequence[BlockQuestion], watch: Watch
) -> tuple[tuple[Placed, ...], dict[str, float]]:
    """Return the best plan of each block, given the one before, and the sums of what each could be on its own."""
    added: list[Placed] = []
    bounds = dict.fromkeys(NAMES, 0.0)
    for place, block in enumerate(blocks):
        before = _teams_before(question, added, blocks[place - 1].number) if place else {}
        # One share of the time is kept for all blocks together.
        settled = settle(question, block, before, watch, len(blocks) - place + 1)
        added += settled.placed
        bounds = {name: bounds[name] + settled.firm[name] for name in NAMES}
    return tuple(added), bounds


def _teams_before(question: Question, added: Iterable[Placed], block: int) -> dict[str, set[str]]:
    """Return whom each participant who is covered in a block has there."""
    placed = [one for one in (*question.standing, *added) if one.block == block]
    having = {participant for _, participant in covered(question.floor, placed)}
    return {who: {one.mentor for one in team} for (_, who), team in teams_of(placed).items() if who in having}


def _found(question: Question, added: tuple[Placed, ...], bounds: Mapping[str, float], watch: Watch) -> Found:
    """Return what was found, each aim counted anew from the plan itself.

    Bounds are of what is added, larger being better; what stands is added to them. Mentor changes, which are of all
    that is placed, are bounded as they are.
    """
    standing = measured(question, question.standing)
    values = measured(question, (*question.standing, *added))
    aims, proven = [], True
    for name in NAMES:
        sign = 1 if name in MORE_IS_BETTER else -1
        bound = sign * int(bounds[name]) + (0 if name == CHANGES else standing[name])
        proven = proven and sign * values[name] >= sign * bound
        aims.append(Aim(name, values[name], bound, proven))
    return Found(added, tuple(aims), watch.spent)
