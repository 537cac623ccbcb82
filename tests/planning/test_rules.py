"""What no plan may break: random plans through the rules, checked by a second, naive statement of them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mentor_training.planning.rules import (
    DUTY,
    LEAD,
    MENTOR,
    Floor,
    Placed,
    leads_lacking,
    mentors_wanted,
    plan_faults,
    refusals,
    removal_refusals,
)
from mentor_training.planning.solver.search import best_plan
from mentor_training.program.catalog import Ladder, Need, Station
from tests.planning.naive import breaches
from tests.planning.solver.floors import question

BLOCKS = (1, 2, 3)
PLACES = ("lane", "games", "desk")
VOLUNTEERS = ("v-1", "v-2", "v-3", "v-4", "v-5")
PARTICIPANTS = ("p-1", "p-2", "p-3", "p-4")
Levels = dict[tuple[str, str, str | None], int]
Placing = tuple[int, str, str, str, str | None]


def station(slug: str, capacity: int = 2, leads: int = 0, kind: str = "station") -> Station:
    return Station(slug, slug.title(), Ladder(()), kind, capacity=capacity, leads=leads)


@st.composite
def floors(draw: st.DrawFn) -> tuple[Floor, Levels]:
    """Draw a floor with capacities, mentors wanted, keep-apart lists and everybody's levels."""
    stations = {
        "lane": station("lane", draw(st.integers(0, 2)), draw(st.integers(0, 2))),
        "games": station("games", draw(st.integers(1, 3)), draw(st.integers(0, 1))),
        "desk": station("desk", draw(st.integers(0, 1)), kind="duty"),
    }
    mentors = {(one, slug): draw(st.integers(1, 2)) for one in PARTICIPANTS for slug in PLACES}
    apart = {one: tuple(draw(st.sets(st.sampled_from(VOLUNTEERS), max_size=2))) for one in PARTICIPANTS}
    levels: Levels = {
        (who, slug, one): draw(st.integers(0, 3))
        for who in VOLUNTEERS
        for slug in PLACES
        for one in (None, *PARTICIPANTS)
    }
    floor = Floor(BLOCKS, stations, PARTICIPANTS, VOLUNTEERS, draw(st.integers(1, 2)), apart, mentors)
    return floor, levels


placings = st.tuples(
    st.sampled_from((*BLOCKS, 9)),
    st.sampled_from((*PLACES, "closed")),
    st.sampled_from((*VOLUNTEERS, "v-9")),
    st.sampled_from((MENTOR, LEAD, DUTY)),
    st.sampled_from((None, *PARTICIPANTS, "p-9")),
)
steps = st.lists(st.tuples(st.booleans(), placings), max_size=40)


@settings(max_examples=300, deadline=None)
@given(floors(), steps)
def test_whatever_is_placed_and_removed_through_the_rules_breaks_none(
    drawn: tuple[Floor, Levels], tried: list[tuple[bool, Placing]]
) -> None:
    """Random placements and removals, each asked of the rules first; the naive check finds nothing at any point."""
    floor, levels = drawn
    plan: list[Placed] = []
    for takes_out, (block, slug, who, role, participant) in tried:
        if takes_out and plan:
            gone = plan[block % len(plan)]
            if not removal_refusals(floor, plan, gone):
                plan.remove(gone)
        else:
            new = Placed(block, slug, who, role, participant, levels.get((who, slug, participant), 3))
            if not refusals(floor, plan, new):
                plan.append(new)
        assert list(breaches(floor, plan, lambda *key: levels[key])) == []
        assert plan_faults(floor, plan) == ()


@settings(max_examples=200, deadline=None)
@given(floors(), steps)
def test_a_proposal_breaks_no_rule_and_moves_nobody(
    drawn: tuple[Floor, Levels], tried: list[tuple[bool, Placing]]
) -> None:
    """Whatever stands already and whoever is cleared; what it adds stands beside what stood."""
    floor, levels = drawn
    plan: list[Placed] = []
    for _, (block, slug, who, role, participant) in tried[:6]:
        new = Placed(block, slug, who, role, participant, levels.get((who, slug, participant), 3))
        if not refusals(floor, plan, new):
            plan.append(new)
    added = best_plan(question(floor, levels, plan, {("p-1", "v-1"): 1})).added
    assert list(breaches(floor, [*plan, *added], lambda *key: levels[key])) == []


@settings(max_examples=200, deadline=None)
@given(floors(), placings, placings)
def test_what_the_naive_check_finds_the_rules_had_refused(
    drawn: tuple[Floor, Levels],
    first: Placing,
    second: Placing,
) -> None:
    """The other way round, for plans of two: a breach is a fault, and where there is no breach there is no fault."""
    floor, levels = drawn
    plan = [
        Placed(block, slug, who, role, participant, levels.get((who, slug, participant), 3))
        for block, slug, who, role, participant in (first, second)
        if slug != "closed" and who != "v-9" and participant != "p-9" and (role == MENTOR) == (participant is not None)
        and (role != DUTY or slug == "desk")
    ]  # fmt: skip
    assert bool(list(breaches(floor, plan, lambda *key: levels[key]))) == bool(plan_faults(floor, plan))


def lane(capacity: int = 2, leads: int = 0) -> Floor:
    stations = {"lane": station("lane", capacity, leads), "games": station("games", 9)}
    return Floor((1,), stations, PARTICIPANTS, VOLUNTEERS, 2)


def pair(who: str, participant: str, level: int = 2, slug: str = "lane") -> Placed:
    return Placed(1, slug, who, MENTOR, participant, level)


def lead(who: str, slug: str = "lane") -> Placed:
    return Placed(1, slug, who, LEAD, None, 3)


@pytest.mark.parametrize(
    ("standing", "new", "words"),
    [
        ([], pair("v-1", "p-1", 0), "v-1 is not cleared for Lane with p-1."),
        ([], Placed(1, "lane", "v-1", LEAD, None, 2), "v-1 may not lead Lane yet."),
        ([pair("v-1", "p-1")], pair("v-1", "p-2", slug="games"), "v-1 is at Lane with p-1 in this block already."),
        ([pair("v-1", "p-1")], pair("v-2", "p-1", slug="games"), "p-1 is at Lane in this block already."),
        (
            [pair("v-1", "p-1"), pair("v-2", "p-2")],
            pair("v-3", "p-3"),
            "Lane takes 2 participants at once; 2 are there in this block.",
        ),
        (
            [],
            pair("v-1", "p-1", 1),
            "v-1 works supervised there, and no lead is on at Lane in this block; place a lead first.",
        ),
    ],
)
def test_each_rule_refuses_in_words(standing: list[Placed], new: Placed, words: str) -> None:
    """One rule broken at a time, one reason."""
    assert refusals(lane(), standing, new) == (words,)


def test_every_reason_is_told_at_once() -> None:
    """Not only the first."""
    found = refusals(lane(1), [pair("v-1", "p-1")], pair("v-1", "p-2", 0), ("complete the module Safety",))
    assert found == (
        "v-1 is not cleared for Lane with p-2.",
        "v-1: complete the module Safety.",
        "v-1 is at Lane with p-1 in this block already.",
        "Lane takes 1 participants at once; 1 are there in this block.",
    )


def test_a_station_takes_participants_once_its_leads_are_placed_and_keeps_them_while_they_are_there() -> None:
    """One lead of two is not enough; with both a participant comes, and then neither lead may go."""
    floor = lane(leads=2)
    asks = "Lane asks for 2 leads"
    assert refusals(floor, [], pair("v-1", "p-1")) == (
        f"{asks}, and none is placed there in this block; place a lead first.",
    )
    assert refusals(floor, [lead("v-2")], pair("v-1", "p-1")) == (
        f"{asks}, and 1 is placed there in this block; place a lead first.",
    )
    plan = [lead("v-2"), lead("v-3")]
    assert refusals(floor, plan, pair("v-1", "p-1")) == ()
    assert removal_refusals(floor, plan, plan[0]) == ()
    assert removal_refusals(floor, [*plan, pair("v-1", "p-1")], plan[0]) == (
        f"{asks} while participants are there; place another lead before v-2 is taken out.",
    )
    fallen = Placed(1, "lane", "v-2", LEAD, None, 2)
    assert removal_refusals(floor, [fallen, pair("v-1", "p-1")], fallen) == ()


def test_a_second_mentor_of_a_participant_takes_no_second_place() -> None:
    """Capacity counts participants, not mentors."""
    assert refusals(lane(1), [pair("v-1", "p-1")], pair("v-2", "p-1")) == ()


def test_a_participant_takes_as_many_mentors_as_the_largest_need_that_applies() -> None:
    """A need that names other activities does not count; with none, one mentor."""
    water = Station("pool", "Pool", Ladder(()), activities=("water",))
    needs = [
        Need("a", "A", Ladder(()), ("water",), mentors=2),
        Need("b", "B", Ladder(()), ("dance",), mentors=3),
        Need("c", "C", Ladder(()), mentors=1),
    ]
    assert [mentors_wanted(those, water) for those in (needs, needs[1:], [])] == [2, 1, 1]


def test_leads_lack_only_where_a_station_is_open() -> None:
    """A lane with nobody in it needs no lead; with a participant it does, until one is on."""
    floor = lane(leads=1)
    assert leads_lacking(floor, []) == {}
    assert leads_lacking(floor, [pair("v-1", "p-1")]) == {(1, "lane"): 1}
    assert leads_lacking(floor, [pair("v-1", "p-1"), lead("v-2")]) == {}


def test_a_lead_may_go_while_those_who_stay_still_answer_for_the_supervised() -> None:
    """Two leads and two supervised: one of the leads may go, the last may not."""
    plan = [lead("v-1"), lead("v-2"), pair("v-3", "p-1", 1), pair("v-4", "p-2", 1)]
    assert removal_refusals(lane(), plan, plan[0]) == ()
    assert removal_refusals(lane(), plan[1:], plan[1]) != ()
    assert removal_refusals(lane(), plan, plan[2]) == ()
