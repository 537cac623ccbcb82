"""Floors with more stations than are asked first: a part of the choices, the bounds and all choices come to the best.

The reference asks all choices at once, of scipy's own solver, aim by aim; `test_exact.py` holds the rows themselves to
every plan there is.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, milp

from mentor_training.planning.rules import Floor
from mentor_training.planning.solver.aims import MORE_IS_BETTER, NAMES
from mentor_training.planning.solver.highs import at_least
from mentor_training.planning.solver.model import Choices, choices_of, rows_of
from mentor_training.planning.solver.program import Program, of_blocks
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.relaxing import merged, relaxed_rows
from mentor_training.planning.solver.search import best_plan
from tests.planning.solver.floors import LevelsOf, question, station

STATIONS = ("lane", "games", "pool", "drums")


def drawn(seed: int, participants: int, volunteers: int, blocks: int) -> Question:
    """Draw a floor: narrow rooms, leads at some stations, teams of two, many who work supervised, some away."""
    chance = np.random.default_rng(seed)
    who = tuple(f"v-{number}" for number in range(volunteers))
    people = tuple(f"p-{number}" for number in range(participants))
    stations = {slug: station(slug, int(chance.integers(1, 4)), int(chance.integers(0, 2))) for slug in STATIONS}
    levels: LevelsOf = {(one, slug, None): int(chance.choice((0, 1, 3))) for one in who for slug in STATIONS}
    levels |= {
        (one, slug, with_whom): int(chance.choice((0, 0, 1, 2)))
        for one in who for slug in STATIONS for with_whom in people
    }  # fmt: skip
    mentors = {(one, slug): int(chance.choice((1, 1, 1, 2))) for one in people for slug in STATIONS}
    numbers = tuple(range(1, blocks + 1))
    away = {(block, one): "s-99" for block in numbers for one in who if chance.random() < 0.1}
    floor = Floor(numbers, stations, people, who, 2, {}, mentors, elsewhere=away)
    favors = {(one, other): int(chance.choice((0, 0, 1, 2))) for one in people for other in who}
    return question(floor, levels, favors=favors, lacking={one: int(chance.integers(0, 5)) * 15 for one in who})


def asked_at_once(asked: Question) -> Choices:
    """Return everything that could be placed in all blocks."""
    return choices_of(asked, [asked.block(number) for number in asked.floor.blocks])


def best_of(program: Program) -> list[int]:
    """Return the best of each aim among what is best by those before, by scipy's own solver."""
    found = []
    for name in NAMES:
        goal, room = program.goals[name], Bounds(0, np.ones(len(program.whole)))
        told = milp(-goal, constraints=program.limits, integrality=program.whole, bounds=room)
        found.append(round(-told.fun))
        program.limits.append(at_least(goal, found[-1]))
    return found


@settings(max_examples=25)
@given(st.integers(0, 2**32), st.integers(2, 6), st.integers(3, 9), st.integers(1, 2))
def test_the_best_plan_is_the_best_of_all_choices(seed: int, participants: int, volunteers: int, blocks: int) -> None:
    """Whatever part is asked first: each aim has the value that all choices give, and is proven."""
    asked = drawn(seed, participants, volunteers, blocks)
    choices, found = asked_at_once(asked), best_plan(asked)
    expected = best_of(of_blocks(choices, rows_of(choices))) if choices.pairs else [0] * len(NAMES)
    signs = [1 if name in MORE_IS_BETTER else -1 for name in NAMES]
    assert [sign * aim.value for sign, aim in zip(signs, found.aims, strict=True)] == expected
    assert all(aim.proven for aim in found.aims)


@settings(max_examples=25)
@given(st.integers(0, 2**32), st.integers(2, 6), st.integers(3, 9), st.integers(1, 2))
def test_without_stations_nothing_is_bounded_too_low(
    seed: int, participants: int, volunteers: int, blocks: int
) -> None:
    """Of each aim the floor without its stations reaches at least what the whole floor does, given those before."""
    choices = asked_at_once(drawn(seed, participants, volunteers, blocks))
    if not choices.pairs:
        return
    few = merged(choices)
    whole, relaxed = of_blocks(choices, rows_of(choices)), of_blocks(few, relaxed_rows(choices, few))
    for name, value in zip(NAMES, best_of(whole), strict=True):
        goal = relaxed.goals[name]
        told = milp(-goal, constraints=relaxed.limits, integrality=relaxed.whole, bounds=Bounds(0, np.ones(len(goal))))
        assert round(-told.fun) >= value
        relaxed.keep(name, value)


@pytest.mark.parametrize("seed", range(3))
def test_a_floor_on_which_the_part_is_not_enough_is_asked_whole(seed: int) -> None:
    """Twelve participants at four narrow stations with fourteen mentors."""
    asked = drawn(seed, 12, 14, 1)
    choices, found = asked_at_once(asked), best_plan(asked)
    expected = best_of(of_blocks(choices, rows_of(choices)))
    assert [abs(aim.value) for aim in found.aims] == [abs(value) for value in expected]
    assert all(aim.proven for aim in found.aims)
