"""A block asked anew after somebody did not come: as many covered, and as many pairs kept, as can be; pure.

Whoever lost somebody may have anybody, and the others at first whom they have, at any station; where that does not
reach what no plan passes, as a flow or a linear program says, everybody may have whom that program uses or might as
well; and where that is not enough, anybody. Both aims are asked as one, a participant covered worth more than all
pairs; then, with those, the most who stay where they were and the fewest supervised. Blocks with the same people and
pairs are asked for the first two once: no station counts there.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from mentor_training.planning.rules import LEAD, MENTOR, Placed
from mentor_training.planning.solver.goals import covering
from mentor_training.planning.solver.goals import unsupervised as supervising
from mentor_training.planning.solver.highs import Answer, Prices, at_least, maximum, priced
from mentor_training.planning.solver.model import Choices, rows_of
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import chosen
from mentor_training.planning.solver.watch import Watch

Pairs = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Block:
    """Who stood in a block, who can stay there, and everything that could be placed with everybody free to move.

    `bound` is how many can be covered at the most.
    """

    here: Sequence[Placed]
    staying: Sequence[Placed]
    choices: Choices
    bound: int

    @cached_property
    def stood(self) -> Pairs:
        """Return the pairs that stood and could still be kept somewhere."""
        pairs = {(one.participant, one.mentor) for one in self.here if one.participant}
        return frozenset((participant, mentor) for participant, mentor in _each(self.choices)) & pairs

    @cached_property
    def lost(self) -> set[str]:
        """Return the participants who have lost somebody or stood with nobody."""
        stay = {one.participant for one in self.staying}
        gone = {one.participant for one in self.here if one not in self.staying}
        return {code for code in self.choices.question.floor.participants if code in gone or code not in stay}

    @cached_property
    def kind(self) -> Hashable:
        """Return what makes two blocks the same question for the first two aims."""
        return (self.stood, self.choices.blocks[0].kind)


@dataclass(frozen=True)
class Best:
    """What is best by the first two aims: among which choices, and whether no plan is better."""

    at: Choices
    answer: Answer
    proven: bool

    def reaches(self, most: float) -> bool:
        """Say whether a plan was found that is worth so much."""
        return self.answer.values is not None and self.answer.value >= most

    def or_better(self, other: Best) -> Best:
        """Return the other where it is worth more, or nothing was found here."""
        better = other.answer.values is not None and (
            self.answer.values is None or other.answer.value > self.answer.value
        )
        return other if better else self

    def widened(self, choices: Choices) -> Numbers | None:
        """Return it as a solution of all choices, if a plan was found."""
        return None if self.answer.values is None else choices.values_of(self.at.placed(self.answer.values))


def asked_anew(block: Block, watch: Watch, known: dict[Hashable, Best]) -> tuple[tuple[Placed, ...], bool]:
    """Return a block's placements, and whether no plan covers more, or as many and keeps more whole teams' pairs.

    Nobody is placed where no time was left. `known` keeps what was found, for blocks of the same kind.
    """
    if block.kind not in known:
        known[block.kind] = _best(block, watch)
    best = known[block.kind]
    return _settled(block, best, watch), best.proven


def _best(block: Block, watch: Watch) -> Best:
    """Ask those who lost somebody, then whoever is near to being used in parts, then everybody."""
    thin = _opened(block.choices, block.lost, block.stood)
    found = Best(thin, _asked(thin, _both(block, thin), watch, np.ones(sum(thin.sizes))), proven=False)
    most: float = block.bound * _worth_of_one(block) + len(block.stood)
    if not found.reaches(most):
        parts = _priced(block, watch)
        most = min(most, parts.bound)
        if not found.reaches(most):
            near = _asked(block.choices, _both(block, block.choices), watch, parts.near.astype(np.float64))
            found = found.or_better(Best(block.choices, near, proven=False))
    if found.reaches(most):
        return replace(found, proven=True)
    start = found.widened(block.choices)
    whole = _asked(block.choices, _both(block, block.choices), watch, np.ones(sum(block.choices.sizes)), start)
    best = found.or_better(Best(block.choices, whole, proven=False))
    return replace(best, proven=best.reaches(min(most, whole.bound)))


def _priced(block: Block, watch: Watch) -> Prices:
    goal = _both(block, block.choices)
    return priced(goal, [rows_of(block.choices).constraint(len(goal))], np.ones(len(goal)), watch.share(2))


def _each(choices: Choices) -> Iterator[tuple[str, str]]:
    """Yield the participant and the mentor of each `y`."""
    volunteers = choices.question.floor.volunteers
    for pair, mentor in zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True):
        yield choices.pairs[pair][1], volunteers[mentor]


def _opened(choices: Choices, people: Collection[str], pairs: Collection[tuple[str, str]]) -> Choices:
    """Return the choices of some participants whole, of the others these pairs alone, at any station."""
    mine = np.array([both[0] in people or both in pairs for both in _each(choices)], dtype=bool)
    enough: npt.NDArray[np.bool_] = np.bincount(choices.of_pair[mine], minlength=len(choices.pairs)) >= choices.wanted
    return chosen(choices.only(mine), enough)


def _worth_of_one(block: Block) -> int:
    return len(block.stood) + 1


def _both(block: Block, some: Choices) -> Numbers:
    """Return the first two aims as one: who is covered, then which pairs are kept."""
    return covering(some) * _worth_of_one(block) + same(some, block.here, at_station=False)


def _asked(some: Choices, goal: Numbers, watch: Watch, upper: Numbers, start: Numbers | None = None) -> Answer:
    rows = [rows_of(some).constraint(len(goal))]
    return maximum(goal, rows, np.ones(len(goal)), upper, watch.share(2), start)


def _settled(block: Block, best: Best, watch: Watch) -> tuple[Placed, ...]:
    """Return the block with most where they stood, and the fewest supervised, of those as good by the first two aims.

    Who lost nobody stays with whom they were found to have.
    """
    if best.answer.values is None:
        return ()
    number = block.choices.blocks[0].number
    found = tuple(replace(one, block=number) for one in best.at.placed(best.answer.values))
    pairs = {(one.participant, one.mentor) for one in found if one.participant}
    some = _opened(block.choices, block.lost, pairs)
    goal = same(some, block.here) * (len(some.mentor) + 1) + supervising(some)
    rows = [rows_of(some).constraint(len(goal)), at_least(_both(block, some), best.answer.value)]
    then = maximum(goal, rows, np.ones(len(goal)), np.ones(len(goal)), watch.share(2), reduced=False)
    return found if then.values is None else some.placed(then.values)


def same(choices: Choices, here: Iterable[Placed], at_station: bool = True) -> Numbers:
    """Count the pairs that stood; or those who stand where they stood, leads among them."""
    here = tuple(here)
    stood = {(one.participant, one.mentor, one.station if at_station else "") for one in here if one.role == MENTOR}
    volunteers, stations = choices.question.floor.volunteers, choices.question.stations
    goal = np.zeros(sum(choices.sizes))
    for number, (pair, mentor) in enumerate(zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True)):
        _, participant, slug = choices.pairs[pair]
        goal[number] = (participant, volunteers[mentor], slug if at_station else "") in stood
    if at_station:
        led = {(one.mentor, one.station) for one in here if one.role == LEAD}
        first = choices.sizes[0] + choices.sizes[1]
        for number, (_, volunteer, station) in enumerate(choices.lead.tolist()):
            goal[first + number] = (volunteers[volunteer], stations[station]) in led
    return goal
