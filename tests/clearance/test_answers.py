"""Everybody's answers, held equal to one decision at a time: level, last day, what is missing, and every ground."""

from __future__ import annotations

from datetime import date
from random import Random

import pytest

from mentor_training.clearance import answers as module
from mentor_training.clearance.answers import answers
from mentor_training.clearance.decision import as_documented
from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.matrix import Matrix
from mentor_training.clearance.rules import decide
from mentor_training.program.editions import in_force
from tests.clearance.dense_programs import STATIONS, Case, a_case, a_day
from tests.clearance.random_programs import PEOPLE
from tests.clearance.test_matrix import everybody_of


def expected(case: Case, day: date) -> list[tuple[object, ...]]:
    """Return the documented row, the grounds and the reasons of each decision, made one by one."""
    rows: list[tuple[object, ...]] = []
    for person, facts in case.register.items():
        for station in STATIONS:
            for whom in (None, case.participant):
                one = decide(Dossier(person, facts, case.editions), station, whom, day)
                rows.append((as_documented(one), one.grounds, one.reasons()))
    return rows


@pytest.mark.parametrize("seed", range(200, 212))
def test_everybodys_answers_are_those_of_one_decision_at_a_time(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """By volunteer, station and participant in this order; however few volunteers are taken at a time."""
    random = Random(seed)  # noqa: S311 - made-up cases, no secrets
    for _ in range(40):
        case, day = a_case(random), a_day(random)
        if in_force(case.editions, day) is None:
            continue
        also = {person for person in PEOPLE if random.random() < 0.2}
        matrix = Matrix(everybody_of(case.register, case.editions, also))
        monkeypatch.setattr(module, "CELLS", random.choice([1, 8, 10_000]))
        found = answers(matrix, list(case.register), STATIONS, (None, case.participant), day)
        rows: list[tuple[object, ...]] = [(as_documented(one), one.grounds, one.reasons()) for one in found]
        assert rows == expected(case, day)
