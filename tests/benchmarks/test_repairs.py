"""Mending a plan of sixty after three did not come: the rules hold, and it is far quicker than planning anew."""

from __future__ import annotations

import sys
from dataclasses import replace

import pytest

from mentor_training.planning.solver.search import best_plan
from tests.benchmarks.measure import SMALL
from tests.benchmarks.plans import made_up
from tests.benchmarks.repairs import measured, no_shows, timed
from tests.planning.plan_checker import broken


def test_mending_is_measured_beside_planning_anew(capsys: pytest.CaptureFixture[str]) -> None:
    """60 participants, 90 mentors, four blocks, six stations; whoever reads what is printed holds it to the bound."""
    results = list(measured(SMALL))
    with capsys.disabled():
        sys.stdout.writelines(f"\n  {result}" for result in results)
    assert len(results) == 2


def test_a_mended_plan_of_sixty_breaks_no_rule() -> None:
    """By the checker that was written apart; whoever does not come is nowhere."""
    asked = made_up(1)
    stands = replace(asked, standing=best_plan(asked).added)
    (_, gone) = no_shows(stands, 2)
    _, found = timed(stands, gone)
    plan = [*(one for one in stands.standing if one not in found.removed), *found.added]

    def level_of(who: str, slug: str, participant: str | None) -> int:
        return int(asked.levels_at(slug, participant)[asked.floor.volunteers.index(who)])

    assert broken(asked.floor, plan, level_of) == {}
    assert not gone & {one.mentor for one in plan}
