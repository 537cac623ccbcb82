"""Asking HiGHS for one aim at a time; pure."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from math import ceil, floor, inf, isfinite
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import LinearConstraint
from scipy.sparse import csr_array, vstack

from mentor_training.planning.solver.rows import Numbers
from mentor_training.planning.solver.watch import Share

# A bound of a whole number that lies this near to one is that one: the solver computes in floating point.
NEAR = 1e-5
# Goals are whole-numbered: what is worth less than half of one otherwise is worth the same.
HALF = 0.5


@dataclass(frozen=True)
class Answer:
    """What the solver found for one aim: values of the variables, the aim's value and the best it could be.

    `values` is None where it found no plan in its time, or there is none.
    """

    values: Numbers | None
    value: int = 0
    bound: float = inf

    @property
    def proven(self) -> bool:
        """Say whether nothing is better."""
        return self.values is not None and self.bound <= self.value


@dataclass(frozen=True)
class Prices:
    """What a goal is at the most where variables may be parts, and the variables that it uses there or might as well.

    `near` is of each variable: used, or no more than half of one worse than those that are.
    """

    bound: float
    near: npt.NDArray[np.bool_]


def maximum(
    goal: Numbers, limits: Sequence[LinearConstraint], whole: Numbers, upper: Numbers, time: Share,
    start: Numbers | None = None, *, reduced: bool = True,
) -> Answer:  # fmt: skip
    """Return the largest value of a whole-numbered goal; to make something small, ask for the largest negative.

    `whole` is 1 for each variable in whole numbers, `upper` its upper bound; all begin at 0. `time` limits it.
    `start` is a solution to begin from, such as the best by the aims before. The solver first makes the question
    smaller, unless it is not to be `reduced`: that takes longer than it saves where a row holds every variable.
    """
    if time.seconds <= 0:
        return Answer(None)
    highs = _solver()
    solver = _begun(highs, time, reduced=reduced)
    solver.passModel(_model(highs, goal, limits, whole, upper))
    if start is not None:
        known = highs.HighsSolution()
        known.col_value = np.round(start).tolist()
        solver.setSolution(known)
    solver.cbMipInterrupt.subscribe(lambda event: event.interrupt(time.stopped()))
    solver.run()
    answer = _answer(highs, solver, goal)
    if start is not None and answer.values is None:
        # Where its first reduction leaves nothing to search, version 1.16 gives the start back as the best.
        return maximum(goal, limits, whole, upper, time, reduced=reduced)
    return answer


def priced(goal: Numbers, limits: Sequence[LinearConstraint], upper: Numbers, time: Share) -> Prices:
    """Return the bound of a whole-numbered goal where variables may be parts, and which are near to being used there.

    A linear program is a moment's work where whole numbers are not. Without time nothing is known.
    """
    highs = _solver()
    solver = _begun(highs, time, reduced=False)
    solver.passModel(_model(highs, goal, limits, np.zeros(len(goal)), upper))
    if time.seconds > 0:
        solver.run()
    if solver.getModelStatus() != highs.HighsModelStatus.kOptimal:
        return Prices(inf, np.ones(len(goal), dtype=bool))
    found = solver.getSolution()
    near = (np.array(found.col_value) > NEAR) | (np.abs(np.array(found.col_dual)) <= HALF)
    return Prices(_bound(solver.getInfo().objective_function_value), near)


def _begun(highs: Any, time: Share, *, reduced: bool) -> Any:
    solver = highs.Highs()
    # One thread: a server's other cores are for its pages, and small questions take longer with more.
    for option, value in (("output_flag", False), ("time_limit", time.seconds), ("mip_rel_gap", 0.0), ("threads", 1)):
        solver.setOptionValue(option, value)
    if not reduced:
        solver.setOptionValue("presolve", "off")
        solver.setOptionValue("mip_heuristic_run_feasibility_jump", False)
    return solver


@cache
def _solver() -> Any:
    """Import the library, which greets on standard output once, where commands print what others read."""
    out, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        library: Any = import_module("highspy")
        library.Highs()
    finally:
        os.dup2(out, 1)
        os.close(out)
        os.close(nowhere)
    return library


def _model(highs: Any, goal: Numbers, limits: Sequence[LinearConstraint], whole: Numbers, upper: Numbers) -> Any:
    """Return the program as the solver takes it: rows by row, and the goal to be made large."""
    rows = csr_array(vstack([csr_array(limit.A) for limit in limits]))
    model = highs.HighsLp()
    model.num_col_, model.num_row_ = len(goal), rows.shape[0]
    model.sense_ = highs.ObjSense.kMaximize
    model.col_cost_, model.col_lower_, model.col_upper_ = goal, np.zeros(len(goal)), upper
    model.row_lower_ = np.concatenate([np.atleast_1d(limit.lb) for limit in limits]).astype(np.float64)
    model.row_upper_ = np.concatenate([np.atleast_1d(limit.ub) for limit in limits]).astype(np.float64)
    model.a_matrix_.format_ = highs.MatrixFormat.kRowwise
    model.a_matrix_.start_, model.a_matrix_.index_ = rows.indptr.astype(np.int32), rows.indices.astype(np.int32)
    model.a_matrix_.value_ = rows.data.astype(np.float64)
    kinds = (highs.HighsVarType.kContinuous, highs.HighsVarType.kInteger)
    model.integrality_ = [kinds[int(one)] for one in whole]
    return model


def _is_told_right(solver: Any, goal: Numbers) -> bool:
    """Say whether the values that are given back are worth what the solver says that it found."""
    told, values = solver.getInfo().objective_function_value, np.array(solver.getSolution().col_value)
    return len(values) != len(goal) or abs(float(goal @ values) - told) < HALF


def _answer(highs: Any, solver: Any, goal: Numbers) -> Answer:
    told = solver.getInfo()
    proven = solver.getModelStatus() == highs.HighsModelStatus.kOptimal
    bound = _bound(told.mip_dual_bound)
    feasible = told.primal_solution_status == int(highs.SolutionStatus.kSolutionStatusFeasible)
    if not feasible or not _is_told_right(solver, goal):
        return Answer(None, bound=bound)
    values = np.array(solver.getSolution().col_value)
    value = round(float(goal @ np.round(values)))
    # An optimal end is within the solver's own tolerance of whole numbers.
    return Answer(values, value, float(value) if proven else bound)


def _bound(dual: float) -> float:
    return float(floor(dual + NEAR)) if isfinite(dual) else inf


def at_least(goal: Numbers, value: int) -> LinearConstraint:
    """Return the row that keeps an aim at its value for those that follow."""
    return LinearConstraint(goal.reshape(1, -1), ceil(value) - 0.5, inf)
