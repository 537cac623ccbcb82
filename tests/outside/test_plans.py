"""Plans against assignment problems whose best is published: each is a floor on which everybody is cleared alike.

A cost becomes a wish: whoever costs least is wished for most, so that the fourth aim of the best plan, pairs wished
for, is the least cost turned over. The numbers stand beside each with where they are from and how they were had.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from mentor_training.planning.competing import competing
from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.aims import COVERED, KEPT
from mentor_training.planning.solver.search import Found, best_plan
from tests.planning.solver.floors import LevelsOf, question, station

Rows = Sequence[Sequence[int]]


def names(letter: str, count: int) -> tuple[str, ...]:
    return tuple(f"{letter}-{number:03}" for number in range(count))


def floor_for(mentors: int, participants: int, capacity: int = 1000) -> Floor:
    """Return a floor of one station in one block."""
    return Floor((1,), {"lane": station("lane", capacity)}, names("p", participants), names("v", mentors), 2)


def least(costs: Rows) -> tuple[int, Found]:
    """Return the least cost of giving each participant (a column) a mentor (a row), as the best plan has it."""
    floor = floor_for(len(costs), len(costs[0]))
    pairs = [(who, one) for who in range(len(costs)) for one in range(len(costs[0]))]
    levels: LevelsOf = {(floor.volunteers[who], "lane", floor.participants[one]): 2 for who, one in pairs}
    most = max(max(row) for row in costs)
    favors = {(floor.participants[one], floor.volunteers[who]): most - costs[who][one] for who, one in pairs}
    found = best_plan(question(floor, levels, favors=favors))
    return found.aim(COVERED).value * most - found.aim(KEPT).value, found


PUBLISHED = [
    # scipy's documentation of linear_sum_assignment, example; from memory, recomputed.
    ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),
    # OR-tools guide to assignment, four workers and four tasks; the data read there (S), recomputed.
    ([[90, 76, 75, 70], [35, 85, 55, 65], [125, 95, 90, 105], [45, 110, 95, 115]], 265),
    # The same with a fifth worker, one of whom is left out; from memory, recomputed.
    ([[90, 80, 75, 70], [35, 85, 55, 65], [125, 95, 90, 95], [45, 110, 95, 115], [50, 100, 90, 100]], 265),
    # Winston, Operations Research, "Machineco"; from memory, recomputed.
    ([[14, 5, 8, 7], [2, 12, 6, 5], [7, 8, 3, 9], [2, 4, 6, 10]], 15),
]


@pytest.mark.parametrize(("costs", "best"), PUBLISHED, ids=["scipy", "or-tools", "five for four", "Winston"])
def test_the_least_cost_of_a_published_assignment(costs: Rows, best: int) -> None:
    """As many are covered as there are tasks, at the published cost, and both are proven."""
    cost, found = least(costs)
    assert cost == best
    assert found.aim(COVERED).value == len(costs[0])
    assert found.aim(KEPT).proven


@pytest.mark.parametrize("size", [5, 10, 20])
def test_the_assignment_of_machol_and_wien_has_its_closed_form(size: int) -> None:
    """Costs i times j, best n(n + 1)(n + 2)/6: arithmetic."""
    costs = [[one * other for other in range(1, size + 1)] for one in range(1, size + 1)]
    assert least(costs)[0] == size * (size + 1) * (size + 2) // 6


def test_kuhns_ratings_are_at_their_most() -> None:
    """H. W. Kuhn, Naval Research Logistics Quarterly 2 (1955) 83-97: 27; from memory, recomputed."""
    ratings = [[8, 7, 9, 9], [5, 2, 7, 8], [6, 1, 4, 9], [2, 3, 2, 6]]
    cost, _ = least([[9 - rating for rating in row] for row in ratings])
    assert 4 * 9 - cost == 27


def test_teams_that_give_two_at_most() -> None:
    """OR-tools guide, six workers in two teams of whom each gives two at the most: 250 (S2), recomputed.

    The workers are participants here, each cleared for at the station of their team, which takes two.
    """
    costs = [
        [90, 76, 75, 70], [35, 85, 55, 65], [125, 95, 90, 105],
        [45, 110, 95, 115], [60, 105, 80, 75], [45, 65, 110, 95],
    ]  # fmt: skip
    team = ("odd", "even")
    floor = Floor((1,), {slug: station(slug, 2) for slug in team}, names("p", 6), names("v", 4), 2)
    pairs = [(worker, task) for worker in range(6) for task in range(4)]
    levels: LevelsOf = {
        (floor.volunteers[task], team[worker % 2], floor.participants[worker]): 2 for worker, task in pairs
    }
    favors = {(floor.participants[worker], floor.volunteers[task]): 125 - costs[worker][task] for worker, task in pairs}
    found = best_plan(question(floor, levels, favors=favors))
    assert found.aim(COVERED).value * 125 - found.aim(KEPT).value == 250


@pytest.mark.parametrize(
    ("supply", "demand", "costs", "best"),
    [
        # Taha, Operations Research, "SunRay Transport"; from memory, recomputed.
        ((15, 25, 10), (5, 15, 15, 15), ((10, 2, 20, 11), (12, 7, 9, 20), (4, 14, 16, 18)), 435),
    ],
    ids=["Taha"],
)
def test_the_least_cost_of_a_published_transport(
    supply: Sequence[int], demand: Sequence[int], costs: Rows, best: int
) -> None:
    """Each unit that is supplied is a mentor, each unit asked for a participant."""
    units = [source for source, count in enumerate(supply) for _ in range(count)]
    asked = [place for place, count in enumerate(demand) for _ in range(count)]
    assert least([[costs[source][place] for place in asked] for source in units])[0] == best


def cleared(matrix: Sequence[Sequence[int]]) -> tuple[Floor, LevelsOf]:
    """Return a floor in which a row's participant has the columns' mentors that its ones say."""
    floor = floor_for(len(matrix[0]), len(matrix))
    levels: LevelsOf = {
        (floor.volunteers[column], "lane", floor.participants[row]): 2
        for row, line in enumerate(matrix)
        for column, one in enumerate(line)
        if one
    }
    return floor, levels


def test_kuhns_qualifications_leave_one_out_for_two_who_have_one_between_them() -> None:
    """Kuhn (1955): three of four; the third and the fourth have the last mentor alone (M), recomputed."""
    floor, levels = cleared([[1, 1, 1, 0], [0, 0, 1, 1], [0, 0, 0, 1], [0, 0, 0, 1]])
    found = best_plan(question(floor, levels))
    assert (found.aim(COVERED).value, found.aim(COVERED).bound, found.aim(COVERED).proven) == (3, 3, True)
    without = set(floor.participants) - {one.participant for one in found.added}
    (left,) = without
    short = competing(floor, found.added, lambda *key: levels.get(key, 0), 1, left)
    assert short is not None
    assert set(short.participants) == {"p-002", "p-003"}
    assert (short.mentors, short.wanted) == (("v-003",), 2)


@given(st.lists(st.lists(st.integers(0, 1), min_size=5, max_size=5), min_size=1, max_size=6))
def test_halls_theorem_both_ways(matrix: list[list[int]]) -> None:
    """P. Hall (1935): all are covered, or those who compete for whoever is left out break the condition (theorem, M).

    And as many are covered as the largest matching has, by another algorithm (Hopcroft and Karp, in scipy).
    """
    floor, levels = cleared(matrix)
    found = best_plan(question(floor, levels))
    largest = maximum_bipartite_matching(csr_array(np.array(matrix)), perm_type="column")
    assert found.aim(COVERED).value == int((largest >= 0).sum())
    for left in set(floor.participants) - {one.participant for one in found.added}:
        short = competing(floor, found.added, lambda *key: levels.get(key, 0), 1, left)
        assert short is not None
        rows = [floor.participants.index(code) for code in short.participants]
        neighbors = {column for row in rows for column, one in enumerate(matrix[row]) if one}
        assert {floor.volunteers[column] for column in neighbors} == set(short.mentors)
        assert len(neighbors) < len(rows)
