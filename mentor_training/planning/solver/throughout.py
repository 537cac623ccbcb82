"""The same teams in blocks that differ only in who is there: planned once, of those who are there throughout; pure.

Where all who could be covered are, in every block and by teams of one size, no mentor changes means that each team is
together from the first block to the last: then nobody else can be in one, and what is best for one block, repeated,
is best for all. Leads may differ from block to block, so what bounds the plan lets everybody lead who is ever there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from mentor_training.planning.rules import LEAD, Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, SUPERVISED, covered, worth
from mentor_training.planning.solver.bounds import covered_bound
from mentor_training.planning.solver.model import Choices, choices_of
from mentor_training.planning.solver.question import BlockQuestion, Question
from mentor_training.planning.solver.settling import Settled, firm_bounds, settle
from mentor_training.planning.solver.watch import Watch

Bounds = Mapping[str, float]


@dataclass(frozen=True)
class Throughout:
    """A plan of all blocks with the same teams, and what each aim is at the most, larger being better.

    `firm` is what an aim is at the most whatever the others are; `binding` what the kept pairs and the hours are among
    the plans that are as good by the aims before, empty where that is not known.
    """

    added: tuple[Placed, ...]
    firm: Bounds
    binding: Bounds

    def is_as_good(self, question: Question, bounds: Bounds) -> bool:
        """Say whether no plan is better by the first three aims, which have these bounds."""
        found = worth(question, self.added)
        return all(found[name] >= bounds[name] for name in (COVERED, SUPERVISED, CHANGES))


def with_same_teams(question: Question, blocks: Sequence[BlockQuestion], watch: Watch) -> Throughout | None:
    """Return the best plan with the same teams throughout.

    None where the blocks differ in more than who is there, or more can be covered in one of them.
    """
    if not _alike(question, blocks):
        return None
    ever = frozenset[str]().union(*(block.elsewhere for block in blocks))
    always = blocks[0].elsewhere.intersection(*(block.elsewhere for block in blocks))
    throughout = replace(blocks[0], elsewhere=ever)
    each = [choices_of(question, [block]) for block in blocks]
    firm = [firm_bounds(choices) for choices in each]
    if covered_bound(choices_of(question, [throughout])) < max(bounds[COVERED] for bounds in firm):
        return None
    widest = found = settle(question, replace(throughout, cannot_lead=always), {}, watch, 2)
    if any(one.role == LEAD and one.mentor in ever for one in found.placed):
        found = settle(question, throughout, {}, watch, 2)
    return Throughout(
        tuple(replace(one, block=block.number) for block in blocks for one in found.placed),
        {name: sum(bounds[name] for bounds in firm) for name in firm[0]},
        _binding(question, widest, found, len(blocks)) if _all_by_one_size(question, each, found.placed) else {},
    )


def _alike(question: Question, blocks: Sequence[BlockQuestion]) -> bool:
    """Say whether the blocks differ only in which volunteers are there."""
    asking = set(question.floor.participants)
    return len({replace(block, elsewhere=block.elsewhere & asking).kind for block in blocks}) == 1


def _all_by_one_size(question: Question, each: Sequence[Choices], placed: Sequence[Placed]) -> bool:
    """Say whether all who could be covered in some block are, and each takes as many mentors wherever they can be."""
    sizes: dict[str, set[int]] = {}
    for choices in each:
        for (_, participant, _), wanted in zip(choices.pairs, choices.wanted.tolist(), strict=True):
            sizes.setdefault(participant, set()).add(wanted)
    there = {participant for _, participant in covered(question.floor, (*question.standing, *placed))}
    return sizes.keys() <= there and all(len(those) == 1 for those in sizes.values())


def _binding(question: Question, widest: Settled, found: Settled, blocks: int) -> dict[str, float]:
    """Return the bounds of the last two aims, where letting more people lead changes none of the first two."""
    most, have = worth(question, widest.placed), worth(question, found.placed)
    if any(most[name] != have[name] for name in (COVERED, SUPERVISED)):
        return {}
    known = [KEPT, HOURS] if have[KEPT] >= widest.bounds[KEPT] else [KEPT]
    return {name: widest.bounds[name] * blocks for name in known}
