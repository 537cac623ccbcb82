"""How many are covered, against the largest flow that networkx finds, on random floors where coverage is a flow.

One mentor for each, no leads, nobody supervised. In general who is where with whom is no flow, because a mentor may be
cleared for somebody at one station and not at another; it is one where either what a mentor is cleared for is the same
at every station that a participant can use, or each mentor belongs to one station, or the stations have room for all.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.aims import COVERED
from mentor_training.planning.solver.search import best_plan
from tests.planning.plan_checker import broken, covered, too_many
from tests.planning.solver.floors import LevelsOf, question, station

Edges = Iterable[tuple[object, object, int]]
KINDS = ("anywhere alike", "mentors of one station", "room for all")


def drawn_floor(chance: np.random.Generator, kind: str, people: int, mentors: int, places: int) -> Floor:
    """Draw stations with their room, two blocks, and some who are in another session in one of them."""
    slugs = [f"station-{number}" for number in range(places)]
    room = [people] * places if kind == "room for all" else chance.integers(0, max(2, people // places + 1), places)
    participants = tuple(f"p-{number:02}" for number in range(people))
    volunteers = tuple(f"v-{number:02}" for number in range(mentors))
    away = {(block, code): "s-99" for block, code in product((1, 2), (*participants, *volunteers))
            if chance.random() < 0.1}  # fmt: skip
    stations = {slug: station(slug, int(one)) for slug, one in zip(slugs, room, strict=True)}
    return Floor((1, 2), stations, participants, volunteers, 2, elsewhere=away)


def drawn_levels(chance: np.random.Generator, kind: str, floor: Floor) -> LevelsOf:
    """Draw who is cleared, independent everywhere, so that the floor is of its kind."""
    dense = chance.random() * 0.6 + 0.05
    pairs = {key for key in product(floor.volunteers, floor.participants) if chance.random() < dense}
    usable = {key for key in product(floor.stations, floor.participants) if chance.random() < 0.6}
    own = {who: str(chance.choice(list(floor.stations))) for who in floor.volunteers}
    found: LevelsOf = {}
    for who, slug, one in product(floor.volunteers, floor.stations, floor.participants):
        if kind == "anywhere alike":
            is_cleared = (who, one) in pairs and (slug, one) in usable
        elif kind == "mentors of one station":
            is_cleared = own[who] == slug and chance.random() < dense
        else:
            is_cleared = bool(chance.random() < dense / len(floor.stations))
        if is_cleared:
            found[who, slug, one] = int(chance.choice((2, 3)))
    return found


def edges(floor: Floor, levels: LevelsOf, kind: str, block: int) -> Edges:
    """Yield the arcs with their room, from the stations to the mentors; or from the participants to the stations."""
    there = {code for code in (*floor.participants, *floor.volunteers) if (block, code) not in floor.elsewhere}
    rooms = {slug: one.capacity for slug, one in floor.stations.items()}
    present = [(who, slug, one) for who, slug, one in levels if one and who in there and one in there]
    if kind == "anywhere alike":
        yield from (("source", slug, room) for slug, room in rooms.items())
        yield from {(slug, ("in", one), 1) for _, slug, one in present}
    else:
        yield from {("source", ("in", one), 1) for _, _, one in present}
    yield from {(("in", one), ("out", one), 1) for _, _, one in present}
    yield from {(("out", one), ("mentor", who), 1) for who, _, one in present}
    yield from {(("mentor", who), ("free", who), 1) for who, _, _ in present}
    if kind == "mentors of one station":
        yield from {(("free", who), slug, 1) for who, slug, _ in present}
        yield from ((slug, "sink", room) for slug, room in rooms.items())
    else:
        yield from {(("free", who), "sink", 1) for who, _, _ in present}


def largest_flow(floor: Floor, levels: LevelsOf, kind: str) -> int:
    """Return what flows through both blocks, by networkx."""
    found = 0
    for block in floor.blocks:
        graph = nx.DiGraph()
        graph.add_nodes_from(("source", "sink"))
        for one, other, room in edges(floor, levels, kind, block):
            graph.add_edge(one, other, capacity=room)
        found += int(nx.maximum_flow_value(graph, "source", "sink"))
    return found


def holds(seed: int, kind: str, people: int, mentors: int, places: int) -> None:
    """Hold one drawn floor to its flow, and its plan to the checker."""
    chance = np.random.default_rng(seed)
    floor = drawn_floor(chance, kind, people, mentors, places)
    levels = drawn_levels(chance, kind, floor)
    found = best_plan(question(floor, levels))
    aim = found.aim(COVERED)
    assert (aim.value, aim.bound, aim.proven) == ((flow := largest_flow(floor, levels, kind)), flow, True)

    def level_of(who: str, slug: str, one: str | None) -> int:
        return levels.get((who, slug, one), 0)

    assert (broken(floor, found.added, level_of), too_many(floor, found.added)) == ({}, [])
    assert len(covered(floor, found.added, level_of)) == aim.value


@settings(max_examples=60)
@given(
    st.integers(0, 2**32), st.sampled_from(KINDS), st.integers(1, 9), st.integers(1, 9), st.integers(1, 3),
)  # fmt: skip
def test_as_many_are_covered_as_the_largest_flow(seed: int, kind: str, people: int, mentors: int, places: int) -> None:
    """And it is proven; the checker finds no rule broken and counts as many."""
    holds(seed, kind, people, mentors, places)


@pytest.mark.parametrize("kind", KINDS)
def test_as_many_are_covered_as_the_largest_flow_on_a_saturday_of_forty(kind: str) -> None:
    """Forty participants, fifty mentors, five stations."""
    holds(20261017, kind, 40, 50, 5)
