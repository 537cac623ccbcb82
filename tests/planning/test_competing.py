"""Hall's theorem both ways on random graphs, against networkx and scipy: who is named where mentors are too few.

P. Hall (1935): a matching that covers a side exists if and only if every set of it has as many neighbors as members.
Ore (1955): the largest matching leaves out as many as the worst set has too few. König (1931): it is as large as the
smallest cover by vertices. (Theorems from memory; both libraries compute the same here.)
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import networkx as nx
import numpy as np
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from mentor_training.planning.competing import Competing, competing
from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.planning.solver.aims import COVERED
from mentor_training.planning.solver.search import best_plan
from tests.planning.solver.floors import LevelsOf, question, station

Matrix = list[list[int]]
KUHN = [[1, 1, 1, 0], [0, 0, 1, 1], [0, 0, 0, 1], [0, 0, 0, 1]]


@st.composite
def matrices(draw: st.DrawFn) -> Matrix:
    """Draw who is cleared for whom: up to nine participants (rows) and eight mentors, from sparse to dense."""
    rows, columns, of_ten = draw(st.integers(1, 9)), draw(st.integers(1, 8)), draw(st.integers(1, 7))
    cell = st.integers(0, 9).map(lambda drawn: int(drawn < of_ten))
    return draw(st.lists(st.lists(cell, min_size=columns, max_size=columns), min_size=rows, max_size=rows))


def floor_of(matrix: Matrix) -> tuple[Floor, LevelsOf]:
    """Return a floor of one place in one block where the ones of a matrix are cleared, each for independent work."""
    participants = tuple(f"p-{row}" for row in range(len(matrix)))
    volunteers = tuple(f"v-{column}" for column in range(len(matrix[0])))
    levels: LevelsOf = {
        (volunteers[column], "lane", participants[row]): 2
        for row, line in enumerate(matrix)
        for column, one in enumerate(line)
        if one
    }
    return Floor((1,), {"lane": station("lane", 99)}, participants, volunteers, 2), levels


def graph_of(floor: Floor, levels: LevelsOf) -> nx.Graph:
    graph = nx.Graph()
    graph.add_nodes_from([*floor.participants, *floor.volunteers])
    graph.add_edges_from((participant, mentor) for mentor, _, participant in levels)
    return graph


def placed_by_networkx(floor: Floor, graph: nx.Graph) -> list[Placed]:
    """Return a largest matching (Hopcroft and Karp) as a plan."""
    matching: Mapping[str, str] = nx.bipartite.hopcroft_karp_matching(graph, floor.participants)
    return [Placed(1, "lane", matching[one], MENTOR, one, 2) for one in floor.participants if one in matching]


def worst_by_going_through_all(graph: nx.Graph, floor: Floor) -> int:
    """Return Ore's deficiency: the most that any set of participants has too few mentors."""
    sets = (those for size in range(len(floor.participants) + 1) for those in combinations(floor.participants, size))
    return max(len(those) - len({who for one in those for who in graph[one]}) for those in sets)


def named(floor: Floor, plan: list[Placed], levels: LevelsOf) -> list[Competing | None]:
    """Return what is named for each participant who goes without in a plan."""
    left = [one for one in floor.participants if one not in {placed.participant for placed in plan}]
    return [competing(floor, plan, lambda *key: levels.get(key, 0), 1, one) for one in left]


def holds(one: Competing, graph: nx.Graph) -> bool:
    """Say whether those named break Hall's condition by the graph alone, and whether all who are cleared are named."""
    neighbors = {who for participant in one.participants for who in graph[participant]}
    return set(one.mentors) == neighbors and len(neighbors) < len(set(one.participants)) == one.wanted


@settings(max_examples=300)
@given(matrices())
@example(KUHN)
def test_a_violator_is_named_exactly_where_there_is_no_full_matching(matrix: Matrix) -> None:
    """Given a largest matching by another library: nobody is left out, or each has a set that truly is short."""
    floor, levels = floor_of(matrix)
    graph = graph_of(floor, levels)
    plan = placed_by_networkx(floor, graph)
    short = named(floor, plan, levels)
    assert (short == []) == (worst_by_going_through_all(graph, floor) == 0)
    assert all(one is not None and holds(one, graph) for one in short)


@settings(max_examples=200)
@given(matrices())
@example(KUHN)
def test_all_who_are_named_lack_as_many_mentors_as_go_without(matrix: Matrix) -> None:
    """Ore: the sets that are named, put together, are a worst one; König: and the rest is a smallest cover."""
    floor, levels = floor_of(matrix)
    graph = graph_of(floor, levels)
    plan = placed_by_networkx(floor, graph)
    short = [one for one in named(floor, plan, levels) if one]
    people, mentors = {who for one in short for who in one.participants}, {who for one in short for who in one.mentors}
    left = len(floor.participants) - len(plan)
    assert len(people) - len(mentors) == left == worst_by_going_through_all(graph, floor)
    cover = (set(floor.participants) - people) | mentors
    assert all(set(edge) & cover for edge in graph.edges)
    matching = {one.participant: one.mentor for one in plan}
    both_ways = matching | {mentor: one for one, mentor in matching.items()}
    smallest = nx.bipartite.to_vertex_cover(graph, both_ways, floor.participants)
    assert len(cover) == len(plan) == len(smallest)


@settings(max_examples=60)
@given(matrices())
@example(KUHN)
def test_the_best_plan_covers_what_both_libraries_match_and_names_who_goes_without(matrix: Matrix) -> None:
    """The same from the solver's own plan, its coverage proven."""
    floor, levels = floor_of(matrix)
    found = best_plan(question(floor, levels))
    by_scipy = int((maximum_bipartite_matching(csr_array(np.array(matrix)), perm_type="column") >= 0).sum())
    graph = graph_of(floor, levels)
    assert found.aim(COVERED).value == by_scipy == len(placed_by_networkx(floor, graph))
    assert found.aim(COVERED).proven
    short = named(floor, list(found.added), levels)
    assert len(short) == len(floor.participants) - by_scipy
    assert all(one is not None and holds(one, graph) for one in short)


@settings(max_examples=150)
@given(matrices(), st.data())
def test_nobody_is_said_to_compete_while_one_more_could_be_covered(matrix: Matrix, data: st.DataObject) -> None:
    """In a plan that is not a largest one, where a chain of moves frees a mentor, none is named for that one."""
    floor, levels = floor_of(matrix)
    graph = graph_of(floor, levels)
    best = placed_by_networkx(floor, graph)
    plan = data.draw(st.lists(st.sampled_from(best), unique=True)) if best else []
    for one in named(floor, plan, levels):
        assert one is None or holds(one, graph)
    if len(plan) < len(best):
        assert None in named(floor, plan, levels)


@settings(max_examples=100)
@given(matrices(), st.integers(0, 7))
def test_whoever_leads_or_is_elsewhere_is_not_among_the_mentors(matrix: Matrix, busy: int) -> None:
    """Hall's condition is of those who can be mentors in that block."""
    floor, levels = floor_of(matrix)
    away = floor.volunteers[busy % len(floor.volunteers)]
    graph = graph_of(floor, levels)
    graph.remove_edges_from([(participant, away) for participant in floor.participants])
    plan = [*placed_by_networkx(floor, graph), Placed(1, "lane", away, LEAD, None, 3)]
    assert all(one is not None and holds(one, graph) for one in named(floor, plan, levels))
