"""What no plan of a block can reach, from flows and matchings alone; pure.

Leads, supervision and which station a participant is at are left out, so that a plan which reaches a bound is proven.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.optimize import linear_sum_assignment
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from mentor_training.planning.solver.model import Choices
from mentor_training.planning.solver.rows import Indices, Numbers


def covered_bound(choices: Choices) -> int:
    """Return how many more participants of one block can be covered at the most.

    Each takes at least their smallest team, nobody is in two: the largest flow (Ford and Fulkerson) is the number of
    mentors that can be used, spent on the smallest teams first; and the stations have their room.
    """
    if not choices.pairs:
        return 0
    teams = smallest_teams(choices)
    flow, spent, count = mentors_used(choices, teams), 0, 0
    for team in sorted(int(size) for size in teams.values()):
        spent += team
        count += spent <= flow
    return min(count, _room_bound(choices))


def smallest_teams(choices: Choices) -> dict[int, float]:
    """Return, by participant, how many mentors they still take at the station where they take fewest."""
    found: dict[int, float] = {}
    for participant, wanted in zip(choices.pair_participant, choices.wanted, strict=True):
        found[int(participant)] = min(wanted, found.get(int(participant), wanted))
    return found


def mentors_used(choices: Choices, teams: dict[int, float]) -> int:
    """Return how many mentors can be used at once, each by one participant, a participant by no more than a team."""
    asking, volunteers = len(choices.question.floor.participants), len(choices.question.floor.volunteers)
    people, mentors = able_pairs(choices)
    source, sink = asking + volunteers, asking + volunteers + 1
    takers = np.array(list(teams), dtype=np.int64)
    used = np.unique(mentors)
    rows = np.concatenate([np.full(len(takers), source), people, used + asking])
    columns = np.concatenate([takers, mentors + asking, np.full(len(used), sink)])
    room = np.concatenate([np.array(list(teams.values())), np.ones(len(people) + len(used))]).astype(np.int32)
    graph = csr_array((room, (rows, columns)), shape=(sink + 1, sink + 1))
    return int(maximum_flow(graph, source, sink).flow_value)


def able_pairs(choices: Choices) -> tuple[Indices, Indices]:
    """Return who could be with whom somewhere: participants, and beside each the volunteer; each pair once."""
    size = len(choices.question.floor.volunteers)
    key = np.unique(choices.pair_participant[choices.of_pair] * size + choices.mentor)
    return key // size, key % size


def _room_bound(choices: Choices) -> int:
    block = choices.blocks[0]
    stays = sum(1 for code in {code for _, code, _ in choices.pairs} if code in block.stays)
    return stays + sum(block.room(slug) for slug in choices.question.floor.places)


def weight_bound(choices: Choices, goal: Numbers) -> int:
    """Return what a goal over the placements of one block is at the most: the heaviest matching of mentors to teams.

    `goal` is of each `y`, whole and 0 or more; of one pair at several stations the heaviest counts.
    """
    weights, _ = _heaviest(choices, goal)
    return round(weights)


def heaviest(choices: Choices, goal: Numbers) -> npt.NDArray[np.bool_]:
    """Return which `y` are of a pair in the heaviest matching."""
    return _heaviest(choices, goal)[1]


def _heaviest(choices: Choices, goal: Numbers) -> tuple[float, npt.NDArray[np.bool_]]:
    """Return the weight of the heaviest matching of mentors to places in teams, and which `y` are of its pairs."""
    people = choices.pair_participant[choices.of_pair]
    seats = np.repeat(*_teams(choices))
    weights = np.zeros((len(choices.question.floor.participants), len(choices.question.floor.volunteers)))
    np.maximum.at(weights, (people, choices.mentor), goal)
    row, mentor = linear_sum_assignment(weights[seats], maximize=True)
    taken = np.zeros(weights.shape, dtype=bool)
    taken[seats[row], mentor] = True
    return float(weights[seats[row], mentor].sum()), taken[people, choices.mentor]


def _teams(choices: Choices) -> tuple[Indices, Indices]:
    """Return the participants, and for each the largest team that they take anywhere."""
    largest = np.zeros(len(choices.question.floor.participants), dtype=np.int64)
    np.maximum.at(largest, choices.pair_participant, choices.wanted.astype(np.int64))
    people = np.flatnonzero(largest)
    return people, largest[people]
