"""Plans against flows and transports whose least cost is published, each as a floor on which everybody is alike.

A place that asks for units is a participant who takes as many mentors, a unit that is supplied a mentor. A flow through
a network becomes such a transport by the usual change (from memory; arithmetic): each unit of an arc's capacity is a
mentor, who works with the arc's first node where the unit is not used, at no cost, and with its last node where it is,
at the arc's cost; a node takes as many mentors as its arcs out could carry, less what it supplies. What flows in and
stays behind is then as much as flows out and is asked for, at every node.

The numbers are also computed here by networkx, which knows nothing of floors. Of Beasley's OR-Library (1990) the files
are not at hand, so that its optima (305, 475, 626, 804, 991, 1176, 1362, 1552) are not among them; they would also be
floors of a hundred to eight hundred, which is what the benchmark is for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.aims import COVERED, KEPT
from mentor_training.planning.solver.bounds import covered_bound, mentors_used, smallest_teams, weight_bound
from mentor_training.planning.solver.goals import keeping
from mentor_training.planning.solver.model import choices_of
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.search import best_plan
from tests.outside.test_plans import PUBLISHED, Rows, floor_for, names
from tests.planning.solver.floors import LevelsOf, question, station

# An arc from one node to another: its capacity and its cost.
Arcs = Mapping[tuple[str, str], tuple[int, int]]
# What a unit costs with each node that it can go to.
Unit = Mapping[int, int]


def floor_of(units: Sequence[Unit], asked: Sequence[int]) -> tuple[Question, int]:
    """Return the floor of units and of nodes that ask for some, and the largest cost, from which wishes are counted."""
    nodes, mentors = names("p", len(asked)), names("v", len(units))
    floor = Floor(
        (1,), {"lane": station("lane", len(nodes))}, nodes, mentors, 2,
        mentors={(node, "lane"): count for node, count in zip(nodes, asked, strict=True)},
    )  # fmt: skip
    most = max(cost for unit in units for cost in unit.values())
    levels: LevelsOf = {}
    favors = {}
    for mentor, unit in zip(mentors, units, strict=True):
        for node, cost in unit.items():
            levels[mentor, "lane", nodes[node]] = 2
            favors[nodes[node], mentor] = most - cost
    return question(floor, levels, favors=favors), most


def least_cost(units: Sequence[Unit], asked: Sequence[int]) -> int:
    """Return the least cost as the best plan has it, proven; every node gets what it asks for."""
    put, most = floor_of(units, asked)
    found = best_plan(put)
    assert found.aim(COVERED).value == len(asked)
    assert found.aim(KEPT).proven
    return most * len(found.added) - found.aim(KEPT).value


def flow(arcs: Arcs, supply: Mapping[str, int]) -> tuple[list[Unit], list[int]]:
    """Return a network as units of its arcs, and what each of its nodes takes of them."""
    nodes = sorted({node for arc in arcs for node in arc})
    place = {node: number for number, node in enumerate(nodes)}
    units: list[Unit] = [
        {place[one]: 0, place[other]: cost} for (one, other), (room, cost) in arcs.items() for _ in range(room)
    ]
    out = {node: sum(room for (one, _), (room, _) in arcs.items() if one == node) for node in nodes}
    return units, [out[node] - supply.get(node, 0) for node in nodes]


def by_networkx(arcs: Arcs, supply: Mapping[str, int]) -> int:
    graph = nx.DiGraph()
    for (one, other), (room, cost) in arcs.items():
        graph.add_edge(one, other, capacity=room, weight=cost)
    nx.set_node_attributes(graph, {node: -amount for node, amount in supply.items()}, "demand")
    return int(nx.min_cost_flow_cost(graph))


# Bradley, Hax and Magnanti, Applied Mathematical Programming (1977), figure 8.1; the title read in a sample file that
# carries the data (S2), recomputed.
BRADLEY: Arcs = {
    ("0", "1"): (15, 4), ("0", "2"): (8, 4), ("1", "2"): (20, 2), ("1", "3"): (4, 2), ("1", "4"): (10, 6),
    ("2", "3"): (15, 1), ("2", "4"): (4, 3), ("3", "4"): (20, 2), ("4", "2"): (5, 3),
}  # fmt: skip
# networkx's documentation of min_cost_flow, example; from memory, recomputed.
FROM_NETWORKX: Arcs = {("a", "b"): (4, 3), ("a", "c"): (10, 6), ("b", "d"): (9, 1), ("c", "d"): (5, 2)}


@pytest.mark.parametrize(
    ("arcs", "supply", "cost"),
    [(BRADLEY, {"0": 20, "3": -5, "4": -15}, 150), (FROM_NETWORKX, {"a": 5, "d": -5}, 24)],
    ids=["Bradley, Hax and Magnanti", "networkx"],
)
def test_the_least_cost_of_a_published_flow(arcs: Arcs, supply: Mapping[str, int], cost: int) -> None:
    """As the best plan has it, and as networkx has it."""
    assert least_cost(*flow(arcs, supply)) == cost == by_networkx(arcs, supply)


def transported(supply: Sequence[int], costs: Rows) -> list[Unit]:
    """Return each unit that is supplied, with what it costs to each place."""
    return [dict(enumerate(row)) for count, row in zip(supply, costs, strict=True) for _ in range(count)]


@pytest.mark.parametrize(
    ("supply", "demand", "costs", "cost"),
    [
        # Winston, Operations Research, "Powerco"; from memory, recomputed.
        ((35, 50, 40), (45, 20, 30, 30), ((8, 6, 10, 9), (9, 12, 13, 7), (14, 9, 16, 5)), 1020),
        # Taha, Operations Research, "SunRay Transport"; from memory, recomputed.
        ((15, 25, 10), (5, 15, 15, 15), ((10, 2, 20, 11), (12, 7, 9, 20), (4, 14, 16, 18)), 435),
    ],
    ids=["Powerco", "SunRay"],
)
def test_the_least_cost_of_a_published_transport_to_those_who_take_many(
    supply: Sequence[int], demand: Sequence[int], costs: Rows, cost: int
) -> None:
    """Each place is one participant who takes as many mentors as it asks for units."""
    assert least_cost(transported(supply, costs), demand) == cost
    routes: Arcs = {
        (f"from {one}", f"to {other}"): (amount, costs[one][other])
        for one, amount in enumerate(supply)
        for other in range(len(demand))
    }
    ends = {f"from {one}": amount for one, amount in enumerate(supply)}
    ends |= {f"to {one}": -amount for one, amount in enumerate(demand)}
    assert by_networkx(routes, ends) == cost


@st.composite
def networks(draw: st.DrawFn) -> tuple[Arcs, dict[str, int]]:
    """Draw a small network and what its first node sends to its last, no more than flows."""
    nodes = "abcd"[: draw(st.integers(2, 4))]
    pairs = [(one, other) for one in nodes for other in nodes if one != other]
    arcs = draw(st.dictionaries(st.sampled_from(pairs), st.tuples(st.integers(1, 4), st.integers(0, 6)), min_size=1))
    graph = nx.DiGraph([(one, other, {"capacity": room}) for (one, other), (room, _) in arcs.items()])
    graph.add_nodes_from(nodes)
    sent = draw(st.integers(0, int(nx.maximum_flow_value(graph, nodes[0], nodes[-1]))))
    used = {node for arc in arcs for node in arc}
    return arcs, {nodes[0]: sent, nodes[-1]: -sent} if {nodes[0], nodes[-1]} <= used else {}


@settings(max_examples=40)
@given(networks())
def test_any_small_flow_costs_as_plan_what_networkx_says(drawn: tuple[Arcs, dict[str, int]]) -> None:
    """The same on networks that nobody published; a node that takes nobody is left out."""
    arcs, supply = drawn
    units, asked = flow(arcs, supply)
    wanting = {node: number for number, node in enumerate(node for node, count in enumerate(asked) if count)}
    units = [{wanting[node]: cost for node, cost in unit.items() if node in wanting} for unit in units]
    assert least_cost(units, [count for count in asked if count]) == by_networkx(arcs, supply)


@pytest.mark.parametrize("costs", [costs for costs, _ in PUBLISHED if len(costs) == len(costs[0])])
def test_a_published_assignment_is_certified_by_prices(costs: Rows) -> None:
    """Prices u and v with u + v at no pair above its cost, in all the plan's cost: no plan costs less (duality).

    The prices are a linear program's, of its dual alone, in which no plan occurs.
    """
    size = len(costs)
    rows = [[float(at in (who, size + one)) for at in range(2 * size)] for who in range(size) for one in range(size)]
    flat = [cost for row in costs for cost in row]
    priced = linprog(-np.ones(2 * size), A_ub=np.array(rows), b_ub=flat, bounds=(None, None))
    assert all(priced.x[who] + priced.x[size + one] <= costs[who][one] + 1e-9 for who in range(size)
               for one in range(size))  # fmt: skip
    units = [dict(enumerate(row)) for row in costs]
    assert least_cost(units, [1] * size) == round(float(priced.x.sum()), 6)


@pytest.mark.parametrize(("size", "best"), [(5, 35), (10, 220), (50, 22_100), (100, 171_700)])
def test_the_bound_by_matchings_has_the_closed_form_of_machol_and_wien(size: int, best: int) -> None:
    """Costs i times j, best n(n + 1)(n + 2)/6: arithmetic. The bound by which the fourth aim is proven reaches it."""
    costs = [[one * other for other in range(1, size + 1)] for one in range(1, size + 1)]
    put, most = floor_of([dict(enumerate(row)) for row in costs], [1] * size)
    choices = choices_of(put, [put.block(1)])
    assert covered_bound(choices) == size
    assert most * size - weight_bound(choices, keeping(choices)[: len(choices.mentor)]) == best


def test_the_flow_by_which_coverage_is_bounded_is_that_of_the_published_transport() -> None:
    """Powerco's 125 units reach all who take them; of 10 fewer, the smallest teams are covered first."""
    supply, demand = (35, 50, 40), (45, 20, 30, 30)
    for fewer, covers in ((0, 4), (10, 3)):
        units = transported((supply[0] - fewer, *supply[1:]), ((1, 1, 1, 1),) * 3)
        put, _ = floor_of(units, demand)
        choices = choices_of(put, [put.block(1)])
        assert mentors_used(choices, smallest_teams(choices)) == 125 - fewer
        assert covered_bound(choices) == covers == best_plan(put).aim(COVERED).value


def test_a_participant_for_whom_nobody_is_cleared_is_no_error() -> None:
    """A column of the cost matrix that is infinite throughout, which scipy's assignment refuses, goes uncovered."""
    floor = floor_for(3, 3)
    levels: LevelsOf = {(who, "lane", one): 2 for who in floor.volunteers for one in floor.participants[:2]}
    found = best_plan(question(floor, levels))
    aim = found.aim(COVERED)
    assert (aim.value, aim.bound, aim.proven) == (2, 2, True)
