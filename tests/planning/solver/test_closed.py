"""Where a station is closed nobody is placed: neither by a plan proposed, nor by one mended."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import plan_faults
from mentor_training.planning.solver.repairing import Missing, repair
from mentor_training.planning.solver.search import best_plan
from tests.planning.solver.floors import LevelsOf, floor_of, question

PEOPLE, STATIONS, PARTICIPANTS = ("v-1", "v-2", "v-3"), ("lane", "games"), ("p-1", "p-2")
levels_drawn = st.fixed_dictionaries(
    {key: st.integers(0, 3) for key in product(PEOPLE, STATIONS, (*PARTICIPANTS, None))}
)
shut_drawn = st.sets(st.tuples(st.integers(1, 2), st.sampled_from(STATIONS)))


@settings(max_examples=25, deadline=None)
@given(levels_drawn, shut_drawn, st.integers(0, 1))
def test_no_plan_and_no_repair_puts_anybody_at_a_closed_station(
    levels: LevelsOf, shut: set[tuple[int, str]], leads: int
) -> None:
    """Not as mentor and not as lead; what is proposed and what is left after mending breaks no rule.

    The repair is asked with whoever stands at a closed station at level 0, as a plan counts them.
    """
    floor = floor_of(levels, blocks=2, leads=leads)
    closed = replace(floor, closed=dict.fromkeys(shut, "since block 1"))
    proposed = best_plan(question(closed, levels)).added
    assert not {(one.block, one.station) for one in proposed} & shut
    assert plan_faults(closed, proposed) == ()
    stood = best_plan(question(floor, levels)).added
    now = tuple(replace(one, level=0) if (one.block, one.station) in shut else one for one in stood)
    mended = repair(question(closed, levels, now), Missing(), closed.blocks)
    left = [one for one in now if one not in mended.removed] + list(mended.added)
    assert not {(one.block, one.station) for one in left} & shut
    assert plan_faults(closed, left) == ()
