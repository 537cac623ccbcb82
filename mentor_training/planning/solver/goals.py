"""The aims as numbers on the variables of the program: each is to be made as large as it can be; pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from mentor_training.planning.solver.model import Choices
from mentor_training.planning.solver.rows import Numbers
from mentor_training.program.catalog import Level


def covering(choices: Choices) -> Numbers:
    """Count who is covered."""
    mentors, pairs, _, _ = choices.sizes
    goal = np.zeros(sum(choices.sizes))
    goal[mentors : mentors + pairs] = 1
    return goal


def unsupervised(choices: Choices) -> Numbers:
    """Take one off for each mentor who works supervised."""
    return _of_mentors(choices, -1.0 * (choices.level == Level.SUPERVISED))


def keeping(choices: Choices) -> Numbers:
    """Count what speaks for those who are put together."""
    codes, volunteers = _participants(choices), choices.question.floor.volunteers
    favors = choices.question.favors
    return _of_mentors(
        choices,
        np.array([favors.get((codes[k], volunteers[m]), 0) for k, m in _each(choices)], dtype=np.float64),
    )


def using(choices: Choices) -> Numbers:
    """Count the minutes that those who are used still need."""
    lacking = np.array([choices.question.lacking.get(code, 0) for code in choices.question.floor.volunteers])
    return _of_mentors(choices, lacking[choices.mentor].astype(np.float64))


def staying(choices: Choices, before: Mapping[str, Collection[str]]) -> Numbers:
    """Take one off for each mentor whom somebody covered in the block before did not have there."""
    codes, volunteers = _participants(choices), choices.question.floor.volunteers
    new = [codes[k] in before and volunteers[m] not in before[codes[k]] for k, m in _each(choices)]
    return _of_mentors(choices, -1.0 * np.array(new, dtype=np.float64))


def _participants(choices: Choices) -> list[str]:
    return [code for _, code, _ in choices.pairs]


def _each(choices: Choices) -> list[tuple[int, int]]:
    return list(zip(choices.of_pair.tolist(), choices.mentor.tolist(), strict=True))


def _of_mentors(choices: Choices, numbers: Numbers) -> Numbers:
    goal = np.zeros(sum(choices.sizes))
    goal[: len(numbers)] = numbers
    return goal
