"""What the best plan prefers, in the order of its aims, and what it leaves alone."""

from __future__ import annotations

from dataclasses import replace

from mentor_training.planning.rules import LEAD, MENTOR, Placed
from mentor_training.planning.solver.aims import CHANGES, COVERED, HOURS, KEPT, SUPERVISED
from mentor_training.planning.solver.search import best_plan
from tests.planning.solver.floors import LevelsOf, best, floor_of, question, told


def test_more_are_covered_before_anything_else() -> None:
    """p-2 can only work with v-1, so p-1 gets v-2, though v-1 is wished for."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-1"): 2, ("v-1", "lane", "p-2"): 2}
    found = best_plan(question(floor_of(levels), levels, favors={("p-1", "v-1"): 2}))
    assert told(found) == [(1, "lane", "v-2", MENTOR, "p-1"), (1, "lane", "v-1", MENTOR, "p-2")]
    assert [aim.proven for aim in found.aims] == [True] * 5


def test_independent_comes_before_supervised_and_a_wish_before_hours() -> None:
    """v-1 would need a lead; of the two others the one who is wished for, though the other lacks more hours."""
    levels: LevelsOf = {(who, "lane", "p-1"): 2 for who in ("v-2", "v-3")}
    levels |= {("v-1", "lane", "p-1"): 1, ("v-9", "lane", None): 3}
    asked = question(floor_of(levels), levels, favors={("p-1", "v-3"): 1, ("p-1", "v-1"): 5}, lacking={"v-2": 600})
    assert told(best_plan(asked)) == [(1, "lane", "v-3", MENTOR, "p-1")]


def test_of_equals_whoever_is_furthest_from_the_required_hours_is_placed() -> None:
    """The last of the aims."""
    levels: LevelsOf = {(who, "lane", "p-1"): 2 for who in ("v-1", "v-2", "v-3")}
    found = best_plan(question(floor_of(levels), levels, lacking={"v-1": 30, "v-2": 600, "v-3": 45}))
    assert told(found) == [(1, "lane", "v-2", MENTOR, "p-1")]
    assert (found.aim(HOURS).value, found.aim(HOURS).proven) == (600, True)


def test_the_same_mentor_stays_through_the_session_and_the_station_changes() -> None:
    """Two blocks, two places: one mentor, both places."""
    found = best({(who, slug, "p-1"): 2 for who in ("v-1", "v-2") for slug in ("lane", "games")}, blocks=2)
    assert len({who for _, _, who, _, _ in found}) == 1
    assert {slug for _, slug, *_ in found} == {"lane", "games"}


def test_a_lead_is_set_where_supervised_mentors_work_and_nowhere_else() -> None:
    """v-9 may lead the lane, v-8 the games; only where p-1 works supervised somebody leads."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 1, ("v-9", "lane", None): 3, ("v-8", "games", None): 3}
    assert best(levels) == [(1, "lane", "v-9", LEAD, None), (1, "lane", "v-1", MENTOR, "p-1")]


def test_a_station_that_asks_for_leads_is_open_only_with_them() -> None:
    """Nobody may lead the lane, so p-1 is placed nowhere; with a lead they are, and the lead leads."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2}
    assert best(levels, leads=1) == []
    with_lead = levels | {("v-2", "lane", None): 3}
    assert best(with_lead, leads=1) == [(1, "lane", "v-2", LEAD, None), (1, "lane", "v-1", MENTOR, "p-1")]


def test_whoever_may_lead_covers_where_no_lead_is_asked_for() -> None:
    """Being with p-1 covers more than leading nobody."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-1", "lane", None): 3}
    assert best(levels) == [(1, "lane", "v-1", MENTOR, "p-1")]


def test_who_takes_two_mentors_gets_two_or_none() -> None:
    """One alone would cover nobody."""
    one: LevelsOf = {("v-1", "lane", "p-1"): 2}
    assert best(one, mentors=2) == []
    assert len(best(one | {("v-2", "lane", "p-1"): 2}, mentors=2)) == 2


def test_half_a_team_that_stands_is_made_whole() -> None:
    """At the station where it stands; who stands is not moved."""
    levels: LevelsOf = {(who, slug, "p-1"): 2 for who in ("v-1", "v-2") for slug in ("games", "lane")}
    standing = (Placed(1, "lane", "v-1", MENTOR, "p-1", 2),)
    found = best_plan(question(floor_of(levels, mentors=2), levels, standing))
    assert told(found) == [(1, "lane", "v-2", MENTOR, "p-1")]
    assert found.aim(COVERED).value == 1


def test_who_is_placed_and_no_longer_cleared_covers_nobody() -> None:
    """Another mentor is proposed beside them, at the same station."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 0, ("v-2", "lane", "p-1"): 2, ("v-2", "games", "p-1"): 2}
    standing = (Placed(1, "lane", "v-1", MENTOR, "p-1", 0),)
    assert told(best_plan(question(floor_of(levels), levels, standing))) == [(1, "lane", "v-2", MENTOR, "p-1")]


def test_blocks_that_differ_are_bound_together() -> None:
    """v-1 is elsewhere in block 2, so that v-2 is with p-1 throughout, though v-1 is wished for and lacks hours."""
    levels: LevelsOf = {(who, "lane", "p-1"): 2 for who in ("v-1", "v-2")}
    floor = replace(floor_of(levels, blocks=3), elsewhere={(2, "v-1"): "s-99"})
    found = best_plan(question(floor, levels, favors={("p-1", "v-1"): 1}, lacking={"v-1": 60}))
    assert {one.mentor for one in found.added} == {"v-2"}
    assert [(aim.name, aim.value, aim.proven) for aim in found.aims] == [
        (COVERED, 3, True), (SUPERVISED, 0, True), (CHANGES, 0, True), (KEPT, 0, True), (HOURS, 0, True),
    ]  # fmt: skip


def test_who_leads_a_station_leads_on_while_participants_change() -> None:
    """The lane asks for a lead; of two who may, one leads all three blocks."""
    levels: LevelsOf = {(who, "lane", None): 3 for who in ("v-8", "v-9")} | {("v-1", "lane", "p-1"): 2}
    leads = {who for _, _, who, role, _ in best(levels, blocks=3, leads=1) if role == LEAD}
    assert len(leads) == 1


def test_a_floor_with_nobody_is_a_plan_with_nobody_and_no_error() -> None:
    """Nobody available, no participants, a station with no room, needs that nobody meets."""
    assert best({("v-1", "lane", None): 3}) == []
    assert best({("v-1", "lane", "p-1"): 0}) == []
    assert best({("v-1", "lane", "p-1"): 2}, capacity=0) == []
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2}
    empty = replace(floor_of(levels), volunteers=())
    found = best_plan(question(empty, levels))
    assert (found.added, found.aim(COVERED).value, found.aim(COVERED).proven) == ((), 0, True)


def test_a_search_that_is_stopped_at_once_says_that_nothing_is_proven() -> None:
    """The best so far is the plan as it stands."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2}
    found = best_plan(question(floor_of(levels), levels), stopped=lambda: True)
    assert found.added == ()
    aim = found.aim(COVERED)
    assert (aim.value, aim.bound, aim.proven) == (0, 1, False)


def test_each_step_is_told() -> None:
    """So that whoever waits sees how far it is."""
    steps: list[str] = []
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2}
    best_plan(question(floor_of(levels), levels), say=steps.append)
    assert steps == [COVERED, SUPERVISED, CHANGES, KEPT, HOURS]
