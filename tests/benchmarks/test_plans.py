"""The best plan of a session of sixty participants: every aim is proven in its time."""

from __future__ import annotations

import sys

import pytest

from mentor_training.planning.solver.search import best_plan
from tests.benchmarks.measure import SMALL
from tests.benchmarks.plans import PARTICIPANTS, made_up, measured


def test_all_five_aims_of_a_session_are_proven_in_a_minute(capsys: pytest.CaptureFixture[str]) -> None:
    """60 participants, 90 mentors, four blocks, six stations; the larger ones run in `tests.benchmarks.plans`."""
    found = best_plan(made_up(1))
    assert all(aim.proven and aim.value == aim.bound for aim in found.aims)
    assert found.aims[0].bound <= PARTICIPANTS * 4
    with capsys.disabled():
        sys.stdout.writelines(f"\n  {result}" for result in measured(SMALL))
