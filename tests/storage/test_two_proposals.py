"""Two store whole plans, or one mends while another changes the floor by hand: one is stored, one told why not."""

from __future__ import annotations

import time

import pytest

from mentor_training.journal.queries import entries
from mentor_training.planning.queries.plan import plan_for, standing_in
from mentor_training.planning.rules import Placed, plan_faults
from tests.builders import World
from tests.planning.saturday import put, saturday
from tests.storage.test_two_planners import go, hear, planner

PROPOSER = "tests.storage.proposer"
SINCE = "refused Something has changed since this plan was proposed; nothing was stored. Propose it again."


def floor(world: World) -> list[Placed]:
    """Return who is placed; by it no rule is broken, and the journal has each who was placed and taken out."""
    with world.reading() as db:
        plan = plan_for(db, "s-11", world.clock.now())
        assert plan_faults(plan.floor, plan.placed) == ()
        placed = [one.placed for one in standing_in(db, "s-11")]
        assert len(entries(db, kind="placed")) - len(entries(db, kind="removed")) == len(placed)
    return placed


@pytest.mark.parametrize("attempt", [1, 2])
def test_of_two_who_accept_different_plans_at_once_one_is_stored_whole(stored: World, attempt: int) -> None:
    """Whoever comes second is told that it has changed since, and who is where already; nothing of theirs is stored."""
    saturday(stored)
    other = ("--avoid", "v-002")
    with planner(stored, module=PROPOSER) as first, planner(stored, *other, module=PROPOSER) as second:
        order = (first, second) if attempt % 2 else (second, first)
        for process in order:
            go(process)
        said = sorted(hear(process) for process in order)
    assert said[1] == "stored"
    assert said[0].startswith(SINCE)
    assert "in this block already" in said[0]
    placed = floor(stored)
    assert placed
    assert len({(one.block, one.mentor) for one in placed}) == len(placed)


def test_two_who_accept_the_same_plan_at_once_store_it_once(stored: World) -> None:
    """What stands just as it was proposed is no obstacle: both are told that it is stored, and it is there once."""
    saturday(stored)
    with planner(stored, module=PROPOSER) as first, planner(stored, module=PROPOSER) as second:
        for process in (first, second):
            go(process)
        assert [hear(process) for process in (first, second)] == ["stored", "stored"]
    placed = floor(stored)
    assert len({(one.block, one.mentor) for one in placed}) == len(placed)


def test_a_plan_that_waited_for_somebody_by_hand_is_stored_whole_or_not_at_all(stored: World) -> None:
    """By hand v-002 is placed and not committed yet; the plan, which has v-002 elsewhere, waits and is refused."""
    saturday(stored)
    with planner(stored, "v-002", "target-games", "p-02", "--hold") as hand, planner(stored, module=PROPOSER) as plan:
        go(hand)
        assert hear(hand) == "held"
        go(plan)
        time.sleep(1)
        assert plan.poll() is None
        go(hand)
        assert hear(hand) == "stored"
        said = hear(plan)
    placed = [(one.mentor, one.station, one.participant) for one in floor(stored)]
    assert said.startswith(SINCE) or said == "stored"
    assert ("v-002", "target-games", "p-02") in placed
    assert (len(placed) == 1) == (said != "stored")


def paired(world: World) -> None:
    """Put v-002 with p-02 at the target games in block 1; v-006, who is free, is the one whom a repair would place."""
    saturday(world)
    put(world, 1, "target-games", "v-002", "p-02")
    for who in ("v-001", "v-003", "v-005"):
        put(world, 1, "arrival-desk", who, role="duty")


def test_a_repair_is_refused_whole_where_somebody_is_placed_by_hand_before_it(stored: World) -> None:
    """v-006 was to step in for v-002; by hand they are placed beside them meanwhile, and stay there."""
    paired(stored)
    hand_first = ("v-006", "target-games", "p-02", "--hold")
    with planner(stored, *hand_first) as hand, planner(stored, "--absent", "v-002", module=PROPOSER) as mending:
        go(hand)
        assert hear(hand) == "held"
        go(mending)
        time.sleep(1)
        assert mending.poll() is None
        go(hand)
        assert hear(hand) == "stored"
        assert hear(mending).startswith(SINCE)
    placed = [(one.mentor, one.participant) for one in floor(stored)]
    assert ("v-002", "p-02") in placed
    assert ("v-006", "p-02") in placed


def test_whoever_places_by_hand_after_a_repair_is_told_where_the_mentor_is(stored: World) -> None:
    """The other way round: the repair holds, by hand it is refused with the place."""
    paired(stored)
    mend_first = ("--absent", "v-002", "--hold")
    with (
        planner(stored, *mend_first, module=PROPOSER) as mending,
        planner(stored, "v-006", "target-games", "p-02") as hand,
    ):
        go(mending)
        assert hear(mending) == "held"
        go(hand)
        time.sleep(1)
        assert hand.poll() is None
        go(mending)
        assert hear(mending) == "stored"
        assert "Person v-006 is at Target games with Name01 in this block already." in hear(hand)
    placed = [(one.mentor, one.participant) for one in floor(stored)]
    assert ("v-006", "p-01") in placed
    assert not any(mentor == "v-002" for mentor, _ in placed)
