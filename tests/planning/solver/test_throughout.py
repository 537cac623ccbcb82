"""Blocks that differ only in who is there: the same teams throughout, and what that proves."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import LEAD, MENTOR
from mentor_training.planning.solver.aims import KEPT
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.search import best_plan
from mentor_training.planning.solver.throughout import with_same_teams
from mentor_training.planning.solver.watch import watch_for
from tests.planning.solver.floors import LevelsOf, floor_of, question, told
from tests.planning.solver.test_exact import every_plan, questions, worth

BLOCKS = (1, 2)


def away(asked: Question, *those: tuple[int, str]) -> Question:
    """Return the question with some people in another session in some blocks."""
    return replace(asked, floor=replace(asked.floor, elsewhere=dict.fromkeys(those, "s-99")))


def planned(asked: Question) -> tuple[bool, tuple[int, ...] | None]:
    """Return whether the later aims are known of the same teams, and what their plan is worth."""
    blocks = [asked.block(number) for number in asked.floor.blocks]
    found = with_same_teams(asked, blocks, watch_for(60.0, lambda _: None, lambda: False))
    return (bool(found and found.binding), worth(asked, found.added) if found else None)


@settings(max_examples=60)
@given(questions(blocks=BLOCKS))
def test_what_is_proven_of_the_same_teams_no_plan_passes(drawn: tuple[Question, LevelsOf]) -> None:
    """With teams of one, where volunteers alone are away: all plans of both blocks are gone through."""
    asked, levels = drawn
    gone = [key for key in asked.floor.elsewhere if key[1].startswith("v")]
    asked = away(replace(asked, floor=replace(asked.floor, mentors={})), *gone)
    found = best_plan(asked)
    plans = [list(every_plan(asked, levels, block)) for block in BLOCKS]
    tops = [max(worth(asked, plan)[:2] for plan in those) for those in plans]
    best = [[plan for plan in those if worth(asked, plan)[:2] == top] for those, top in zip(plans, tops, strict=True)]
    assert worth(asked, found.added) == max(worth(asked, (*one, *two)) for one, two in product(*best))


def test_who_comes_late_is_no_mentor_where_another_can_stay() -> None:
    """v-1 is wished for and misses the second block: v-2 is with p-1 in both, and that is proven at once."""
    levels: LevelsOf = {(who, "lane", "p-1"): 2 for who in ("v-1", "v-2")}
    asked = question(floor_of(levels, blocks=2), levels, favors={("p-1", "v-1"): 1})
    assert [who for _, _, who, _, _ in told(best_plan(asked))] == ["v-1", "v-1"]
    late = best_plan(away(asked, (2, "v-1")))
    assert [who for _, _, who, _, _ in told(late)] == ["v-2", "v-2"]
    assert [(aim.value, aim.proven) for aim in late.aims] == [(2, True), (0, True), (0, True), (0, True), (0, True)]


def test_leads_may_change_where_teams_do_not() -> None:
    """p-1 works supervised by v-1 in both blocks; v-8 leads the first, v-9 the second, and nothing is better."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 1, ("v-8", "lane", None): 3, ("v-9", "lane", None): 3}
    asked = away(question(floor_of(levels, blocks=2), levels), (2, "v-8"), (1, "v-9"))
    found = best_plan(asked)
    assert [(block, who) for block, _, who, role, _ in told(found) if role == LEAD] == [(1, "v-8"), (2, "v-9")]
    assert [who for _, _, who, role, _ in told(found) if role == MENTOR] == ["v-1", "v-1"]
    assert all(aim.proven for aim in found.aims)


def test_where_teams_differ_in_size_nothing_is_said_of_the_later_aims() -> None:
    """p-1 takes two at the games and one at the lane: who is there for the games alone may be kept there."""
    levels: LevelsOf = {(who, slug, "p-1"): 2 for who in ("v-1", "v-2") for slug in ("lane", "games")}
    floor = floor_of(levels, blocks=2)
    sizes = replace(floor, mentors={("p-1", "lane"): 1, ("p-1", "games"): 2})
    asked = away(question(sizes, levels, favors={("p-1", "v-2"): 1}), (2, "v-2"))
    assert planned(asked) == (False, (2, 0, 0, 0, 0))
    found = best_plan(asked)
    assert (found.aim(KEPT).value, found.aim(KEPT).proven) == (1, True)


def test_where_more_can_be_covered_in_one_block_teams_change() -> None:
    """p-2 can only be with v-2, who misses the second block; v-1 and p-1 stay together."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-2"): 2}
    asked = away(question(floor_of(levels, blocks=2), levels), (2, "v-2"))
    assert planned(asked) == (False, None)
    assert best_plan(asked).aim("covered").value == 3


def test_blocks_that_differ_in_who_is_served_are_not_asked_so() -> None:
    """p-2 comes for the first block alone."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-2"): 2}
    assert planned(away(question(floor_of(levels, blocks=2), levels), (2, "p-2"))) == (False, None)


def test_stations_that_differ_do_not_hinder() -> None:
    """The lane is closed in the second block: blocks differ, and the plan is as good as before."""
    levels: LevelsOf = {("v-1", slug, "p-1"): 2 for slug in ("lane", "games")}
    asked = question(floor_of(levels, blocks=2), levels)
    shut = replace(asked, floor=replace(asked.floor, closed={(2, "lane"): "wet"}))
    assert planned(shut) == (False, None)
    assert best_plan(shut).aim("covered").value == 2


@given(st.sets(st.tuples(st.sampled_from((1, 2, 3)), st.sampled_from(("v-1", "v-2", "v-3"))), max_size=4))
def test_whoever_is_away_is_placed_nowhere(gone: set[tuple[int, str]]) -> None:
    """Neither as a mentor nor as a lead, whatever blocks they miss."""
    levels: LevelsOf = {(who, "lane", who_else): 2 for who in ("v-1", "v-2", "v-3") for who_else in ("p-1", "p-2")}
    levels |= {(who, "lane", None): 3 for who in ("v-1", "v-2", "v-3")}
    asked = away(question(floor_of(levels, blocks=3, leads=1), levels), *gone)
    assert not {(one.block, one.mentor) for one in best_plan(asked).added} & gone
