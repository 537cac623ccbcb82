"""A plan mended after no-shows: what stays, what is covered, and that nothing better was passed over."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.planning.solver.aims import covered
from mentor_training.planning.solver.question import Question
from mentor_training.planning.solver.repairing import Missing, Repair, repair
from mentor_training.planning.solver.search import best_plan
from tests.planning.naive import breaches
from tests.planning.solver.floors import LevelsOf, floor_of, question, station
from tests.planning.solver.test_exact import every_plan, questions


def standing(asked: Question) -> Question:
    """Return the question with its best plan standing."""
    return replace(asked, standing=best_plan(asked).added)


def mended(asked: Question, *people: str, stations: tuple[str, ...] = ()) -> Repair:
    """Mend every block of a plan without some people and stations."""
    return repair(asked, Missing(frozenset(people), frozenset(stations)), asked.floor.blocks)


def after(asked: Question, found: Repair) -> tuple[Placed, ...]:
    """Return the plan as it stands then."""
    return (*(one for one in asked.standing if one not in found.removed), *found.added)


def test_whoever_is_free_steps_in_and_nobody_else_moves() -> None:
    """v-1 does not come; v-3 takes p-1 in both blocks, and v-2 stays with p-2."""
    levels: LevelsOf = {(who, "lane", one): 2 for who in ("v-1", "v-3") for one in ("p-1",)}
    levels |= {("v-2", "lane", "p-2"): 2}
    asked = question(floor_of(levels, blocks=2), levels, favors={("p-1", "v-1"): 1})
    found = mended(standing(asked), "v-1")
    assert {(one.block, one.mentor) for one in found.removed} == {(1, "v-1"), (2, "v-1")}
    assert {(one.block, one.mentor, one.participant) for one in found.added} == {(1, "v-3", "p-1"), (2, "v-3", "p-1")}
    assert (found.kept_pairs, found.lost_pairs, found.proven) == (2, 2, (1, 2))


def test_a_pair_is_moved_where_that_covers_one_more() -> None:
    """v-1 is missing; only v-2, who is with p-2, can take p-1, and v-3 can take p-2: one pair goes."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-1"): 2, ("v-2", "lane", "p-2"): 2}
    levels |= {("v-3", "lane", "p-2"): 2}
    placed = (Placed(1, "lane", "v-1", MENTOR, "p-1", 2), Placed(1, "lane", "v-2", MENTOR, "p-2", 2))
    asked = question(floor_of(levels), levels, placed)
    found = mended(asked, "v-1")
    assert {(one.mentor, one.participant) for one in after(asked, found)} == {("v-2", "p-1"), ("v-3", "p-2")}
    assert found.proven == (1,)


def test_a_lead_who_does_not_come_is_replaced_even_by_a_mentor() -> None:
    """The lane asks for a lead, and only v-1, who is with p-1, may lead; then v-3 takes p-1."""
    levels: LevelsOf = {("v-9", "lane", None): 3, ("v-1", "lane", None): 3, ("v-1", "lane", "p-1"): 2}
    levels |= {("v-3", "lane", "p-1"): 2}
    placed = (Placed(1, "lane", "v-9", LEAD, None, 3), Placed(1, "lane", "v-1", MENTOR, "p-1", 2))
    asked = question(floor_of(levels, leads=1), levels, placed)
    found = mended(asked, "v-9")
    assert {(one.mentor, one.role) for one in after(asked, found)} == {("v-1", LEAD), ("v-3", MENTOR)}


def test_a_closed_station_sends_its_pairs_elsewhere_together() -> None:
    """The lane is closed; the pair goes on at the games."""
    levels: LevelsOf = {("v-1", slug, "p-1"): 2 for slug in ("lane", "games")}
    placed = (Placed(1, "lane", "v-1", MENTOR, "p-1", 2),)
    asked = question(floor_of(levels), levels, placed)
    found = mended(asked, stations=("lane",))
    assert [(one.station, one.mentor, one.participant) for one in after(asked, found)] == [("games", "v-1", "p-1")]
    assert (found.kept_pairs, found.lost_pairs) == (1, 0)


def test_blocks_that_are_over_are_left_as_they_ran() -> None:
    """Only the second block is mended."""
    levels: LevelsOf = {(who, "lane", "p-1"): 2 for who in ("v-1", "v-2")}
    asked = standing(question(floor_of(levels, blocks=2), levels, favors={("p-1", "v-1"): 1}))
    found = repair(asked, Missing(frozenset({"v-1"})), (2,))
    assert {one.block for one in (*found.removed, *found.added)} == {2}


def test_a_participant_who_does_not_come_frees_the_mentor() -> None:
    """And nobody is placed with them."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-1", "lane", "p-2"): 2}
    asked = standing(question(floor_of(levels), levels, favors={("p-1", "v-1"): 1}))
    found = mended(asked, "p-1")
    assert [(one.mentor, one.participant) for one in after(asked, found)] == [("v-1", "p-2")]


@settings(max_examples=120)
@given(questions(), st.sampled_from(("v-1", "v-2", "p-1", "lane")))
def test_no_plan_covers_more_or_keeps_more_pairs(drawn: tuple[Question, LevelsOf], gone: str) -> None:
    """Against every plan there is without whoever is missing or the station that is closed."""
    asked, levels = drawn
    asked = standing(asked)
    if not any(gone in (one.mentor, one.participant, one.station) for one in asked.standing):
        return
    found = mended(asked, stations=(gone,)) if gone == "lane" else mended(asked, gone)
    plan = after(asked, found)
    assert list(breaches(without(asked.floor, gone), plan, lambda *key: levels[key])) == []
    stood = {(one.participant, one.mentor) for one in asked.standing if one.participant}

    def worth(other: tuple[Placed, ...]) -> tuple[int, int]:
        pairs = {(one.participant, one.mentor) for one in other if one.participant}
        return len(covered(asked.floor, other)), len(pairs & stood)

    possible = [
        one
        for one in every_plan(asked, levels, 1)
        if not any(gone in (p.mentor, p.participant, p.station) for p in one)
    ]
    best = max(worth(one) for one in possible)
    # Half a team may stay beside it, which covers nobody and is in none of the plans that are gone through.
    assert worth(plan)[0] == best[0]
    assert worth(plan) >= best
    # Of parts of teams it is not said that no more of them could stay.
    alone = all(asked.floor.wanted(one.participant, one.station) == 1 for one in asked.standing if one.participant)
    assert found.proven == (1,) or not alone


def without(floor: Floor, gone: str) -> Floor:
    """Return a floor at which somebody is not expected."""
    return replace(
        floor,
        volunteers=tuple(code for code in floor.volunteers if code != gone),
        participants=tuple(code for code in floor.participants if code != gone),
        stations={slug: station(slug, one.capacity, one.leads) for slug, one in floor.stations.items() if slug != gone},
    )
