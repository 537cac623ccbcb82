"""Once it is settled who is with whom: each block's stations, so that nobody comes to one twice without need; pure.

No aim becomes worse by it: the teams stay as they are, as many work supervised, and whoever was covered is covered.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence

import numpy as np

from mentor_training.planning.rules import LEAD, MENTOR, Placed
from mentor_training.planning.solver.goals import covering, unsupervised
from mentor_training.planning.solver.highs import at_least, maximum
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.thinning import chosen
from mentor_training.planning.solver.watch import Watch

Visits = Counter[tuple[str, str]]


def spread(question: Question, added: Sequence[Placed], watch: Watch) -> tuple[Placed, ...]:
    """Return what is added with its stations chosen anew, block by block, by how often each was visited before."""
    done: list[Placed] = []
    for number in question.floor.blocks:
        here = tuple(one for one in added if one.block == number)
        visited = visits((*question.standing, *done))
        leading = {(one.station, one.mentor) for one in (*question.standing, *done) if one.role == LEAD}
        done += _moved(question, number, here, visited, leading, watch) if visited else here
    return tuple(done)


def visits(placed: Iterable[Placed]) -> Visits:
    """Count in how many blocks each participant is at each station."""
    return Counter((participant, slug) for _, participant, slug in _stays(placed))


def _stays(placed: Iterable[Placed]) -> set[tuple[int, str, str]]:
    return {(one.block, one.participant, one.station) for one in placed if one.participant}


def _moved(
    question: Question, number: int, here: tuple[Placed, ...], visited: Visits, leading: Collection[tuple[str, str]],
    watch: Watch,
) -> tuple[Placed, ...]:  # fmt: skip
    choices = _of_teams(choices_of(question, [question.block(number)]), here)
    if not choices.pairs or not watch.left:
        return here
    supervised = sum(one.role == MENTOR and one.level == 1 for one in here)
    size = sum(choices.sizes)
    limits = [
        rows_of(choices).constraint(size),
        at_least(covering(choices), len({one.participant for one in here if one.participant})),
        at_least(unsupervised(choices), -supervised),
    ]
    found = maximum(_seldom(choices, visited, leading), limits, np.ones(size), np.ones(size), watch.share(2))
    return here if found.values is None else choices.placed(found.values)


def _of_teams(choices: Choices, here: Iterable[Placed]) -> Choices:
    """Return the choices in which each participant has the very team that was found for them."""
    team = {(one.participant, one.mentor) for one in here if one.role == MENTOR}
    volunteers = choices.question.floor.volunteers
    pairs = zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True)
    mine = np.array([(choices.pairs[pair][1], volunteers[one]) in team for pair, one in pairs], dtype=bool)
    sizes: Counter[str] = Counter(participant for participant, _ in team if participant)
    have = np.bincount(choices.of_pair[mine], minlength=len(choices.pairs))
    whole = [
        have[number] == choices.wanted[number] == sizes[participant]
        for number, (_, participant, _) in enumerate(choices.pairs)
    ]
    return chosen(choices.only(mine), np.array(whole, dtype=bool))


def _seldom(choices: Choices, visited: Visits, leading: Collection[tuple[str, str]]) -> Numbers:
    """Take off for each stay how often the participant was at the station before; then let leads lead on."""
    mentors, pairs, leads, _ = choices.sizes
    goal = np.zeros(sum(choices.sizes))
    goal[mentors : mentors + pairs] = [-visited[participant, slug] for _, participant, slug in choices.pairs]
    goal *= leads + 1
    places, volunteers = choices.question.stations, choices.question.floor.volunteers
    goal[mentors + pairs : mentors + pairs + leads] = [
        (places[station], volunteers[volunteer]) in leading for _, volunteer, station in choices.lead
    ]
    return goal
