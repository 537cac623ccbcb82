"""What the solver is asked through one small door, and what is not believed of its answers."""

from __future__ import annotations

from time import monotonic

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, linear_sum_assignment

from mentor_training.planning.solver.highs import maximum, priced
from mentor_training.planning.solver.watch import Share


def at_most_one_each(size: int) -> LinearConstraint:
    """Return the rows of an assignment: one of each row and one of each column."""
    cells = np.arange(size * size).reshape(size, size)
    rows = np.zeros((2 * size, size * size))
    for number in range(size):
        rows[number, cells[number]] = 1
        rows[size + number, cells[:, number]] = 1
    return LinearConstraint(rows, -np.inf, np.ones(2 * size))


@given(st.integers(1, 5), st.integers(0, 2**32))
def test_a_start_is_never_given_back_where_there_is_better(size: int, seed: int) -> None:
    """Whatever it begins from, the heaviest assignment is found: as heavy as scipy's own routine finds it."""
    weights = np.random.default_rng(seed).integers(0, 9, (size, size)).astype(np.float64)
    row, column = linear_sum_assignment(weights, maximize=True)
    every = np.ones(size * size)
    for start in (None, np.zeros(size * size), np.eye(size).ravel()):
        found = maximum(weights.ravel(), [at_most_one_each(size)], every, every, Share(10.0), start)
        assert (found.value, found.proven) == (round(float(weights[row, column].sum())), True)
        assert found.values is not None
        assert round(float(weights.ravel() @ found.values)) == found.value


@given(st.integers(1, 12), st.integers(1, 6), st.integers(0, 2**32))
def test_parts_are_never_worth_less_than_whole_numbers(width: int, rows: int, seed: int) -> None:
    """What a goal is in parts bounds what it is in whole numbers, asked with or without the solver's reduction."""
    chance = np.random.default_rng(seed)
    goal, weights = chance.integers(0, 9, width).astype(np.float64), chance.integers(0, 5, (rows, width))
    limits, every = [LinearConstraint(weights, -np.inf, chance.integers(1, 12, rows))], np.ones(width)
    best = maximum(goal, limits, every, every, Share(10.0))
    assert maximum(goal, limits, every, every, Share(10.0), reduced=False).value == best.value
    parts = priced(goal, limits, every, Share(10.0))
    assert parts.bound >= best.value
    among = maximum(goal, limits, every, parts.near.astype(np.float64), Share(10.0))
    assert among.value <= best.value


def test_of_an_assignment_parts_say_all() -> None:
    """There the linear program's bound is the best (Birkhoff), and the best uses what is near alone."""
    weights = np.random.default_rng(20261017).integers(0, 99, (12, 12)).astype(np.float64)
    row, column = linear_sum_assignment(weights, maximize=True)
    found = priced(weights.ravel(), [at_most_one_each(12)], np.ones(144), Share(10.0))
    assert found.bound == weights[row, column].sum()
    assert found.near.reshape(12, 12)[row, column].all()


def test_without_time_there_is_no_answer() -> None:
    """And nothing is said of how good one could be."""
    found = maximum(np.ones(1), [at_most_one_each(1)], np.ones(1), np.ones(1), Share(0.0))
    assert (found.values, found.bound) == (None, np.inf)
    assert priced(np.ones(1), [at_most_one_each(1)], np.ones(1), Share(0.0)).bound == np.inf


def test_a_question_ends_in_the_middle_when_it_is_stopped() -> None:
    """The best so far is given, and its bound is not called reached."""
    chance = np.random.default_rng(20261017)
    weights, most = chance.integers(10, 99, (20, 90)).astype(np.float64), np.full(20, 700.0)
    asked, every = [LinearConstraint(weights, -np.inf, most)], np.ones(90)
    began = monotonic()
    found = maximum(
        chance.integers(10, 99, 90).astype(np.float64), asked, every, every,
        Share(60.0, lambda: monotonic() - began > 0.5), np.zeros(90),
    )  # fmt: skip
    assert monotonic() - began < 20
    assert not found.proven
    assert found.values is not None
    assert (weights @ np.round(found.values) <= most).all()
