"""What a plan does not cover, and why: in words and as data."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.planning.gaps import (
    ALL_ELSEWHERE,
    NO_ROOM_OR_LEAD,
    NOBODY_CLEARED,
    NOT_PLACED,
    REVIEW_OVERDUE,
    TOO_FEW_CLEARED,
    TOO_FEW_FOR_ALL,
    Gap,
    Near,
    as_json,
    by_participant,
    find_gaps,
    find_lead_gaps,
)
from mentor_training.planning.queries.plan import gaps, plan_for
from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.program.catalog import Ladder, Station
from tests.builders import World
from tests.planning.saturday import COORDINATES, put, saturday

STATIONS = {
    "lane": Station("lane", "Lane", Ladder(()), capacity=1),
    "games": Station("games", "Games", Ladder(()), capacity=2),
}
Levels = dict[tuple[str, str, str | None], int]


def hall(participants: str = "p-1", volunteers: str = "v-1 v-2", mentors: int = 1) -> Floor:
    people = tuple(participants.split())
    wanted = {(one, slug): mentors for one in people for slug in STATIONS}
    return Floor((1,), STATIONS, people, tuple(volunteers.split()), 2, {}, wanted)


def pair(who: str, participant: str, slug: str, level: int = 2) -> Placed:
    return Placed(1, slug, who, MENTOR, participant, level)


def gap_of(asked: Floor, placed: list[Placed], levels: Levels, overdue: tuple[str, ...] = ()) -> Gap:
    """Return the one gap of the last participant."""
    near = (Near("v-9", "lane", ("be signed off",), 1),)
    found = find_gaps(asked, placed, lambda *key: levels.get(key, 0), lambda *_: near, overdue)
    return next(gap for gap in found if gap.participant == asked.participants[-1])


def test_nobody_cleared_names_those_who_come_nearest() -> None:
    """With what each lacks."""
    gap = gap_of(hall(), [], {})
    assert (gap.cause, gap.because) == (NOBODY_CLEARED, "Nobody expected is cleared for p-1.")
    assert [(near.mentor, near.lacks) for near in gap.nearest] == [("v-9", ("be signed off",))]


def test_an_overdue_review_is_the_reason_whoever_is_cleared() -> None:
    """It blames nobody."""
    gap = gap_of(hall(), [], {("v-1", "lane", "p-1"): 3}, ("p-1",))
    assert gap.cause == REVIEW_OVERDUE
    assert "nobody's blame" in gap.because


def test_too_few_are_cleared_for_somebody_who_takes_two() -> None:
    """The one who is cleared is named."""
    gap = gap_of(hall(mentors=2), [], {("v-1", "lane", "p-1"): 2, ("v-2", "games", "p-1"): 2})
    assert (gap.cause, gap.wanted) == (TOO_FEW_CLEARED, 2)
    assert gap.because == "p-1 takes 2 mentors at Lane, and only 1 is cleared: v-1."


def test_who_could_be_placed_is_named() -> None:
    """The plan is only unfinished."""
    gap = gap_of(hall(), [], {("v-1", "lane", "p-1"): 2})
    assert (gap.cause, gap.because) == (NOT_PLACED, "Not placed yet; v-1 could.")
    assert [(one.mentor, one.station) for one in gap.could] == [("v-1", "lane")]


def test_everybody_cleared_is_elsewhere() -> None:
    """And it says where."""
    levels: Levels = {("v-1", "lane", "p-2"): 2, ("v-1", "games", None): 3}
    gap = gap_of(hall("p-1 p-2"), [Placed(1, "games", "v-1", LEAD, None, 3)], levels)
    assert (gap.cause, gap.competitors) == (ALL_ELSEWHERE, ())
    assert "v-1 (leads, Games)" in gap.because


def test_where_there_are_too_few_for_all_those_who_compete_are_named() -> None:
    """p-3 can be with v-1 and v-2 alone, who are with p-1 and p-2, and these have nobody else either; v-3 is p-4's."""
    levels: Levels = {(who, "lane", one): 2 for who in ("v-1", "v-2") for one in ("p-1", "p-2", "p-3")}
    levels |= {("v-3", "lane", "p-4"): 2}
    placed = [pair("v-1", "p-1", "lane"), pair("v-2", "p-2", "lane"), pair("v-3", "p-4", "lane")]
    gap = gap_of(hall("p-1 p-2 p-4 p-3", "v-1 v-2 v-3"), placed, levels)
    assert (gap.cause, gap.competitors) == (TOO_FEW_FOR_ALL, ("p-1", "p-2"))
    assert gap.because == (
        "p-3, p-1, p-2 take 3 mentors between them, and only 2 are cleared for any of them and not needed as leads: "
        "v-1, v-2."
    )


def test_room_and_leads_are_named_station_by_station() -> None:
    """A full lane, and supervised mentors without a lead at the games."""
    levels: Levels = {("v-1", "lane", "p-2"): 2, ("v-1", "games", "p-2"): 1}
    gap = gap_of(hall("p-1 p-2"), [pair("v-2", "p-1", "lane")], levels)
    assert gap.cause == NO_ROOM_OR_LEAD
    assert gap.because == (
        "Nobody who is cleared for p-2 and free can be placed: Lane is full; Games has no lead for a supervised mentor."
    )


def test_half_a_team_is_a_gap_at_its_station() -> None:
    """One of two mentors is there; only the station where they are counts."""
    levels: Levels = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-1"): 2, ("v-2", "games", "p-1"): 2}
    gap = gap_of(hall(mentors=2), [pair("v-1", "p-1", "lane")], levels)
    assert (gap.station, gap.have, gap.wanted, gap.cause) == ("lane", 1, 2, NOT_PLACED)
    assert {one.station for one in gap.could} == {"lane"}


def test_one_of_two_who_is_free_does_not_make_a_team() -> None:
    """p-1 takes two; v-1 is free and v-2 with p-2: it is not that nobody placed them, and both compete for two."""
    levels: Levels = {("v-1", "games", "p-1"): 2, ("v-2", "games", "p-1"): 2, ("v-2", "lane", "p-2"): 2}
    floor = replace(hall("p-2 p-1"), mentors={("p-1", slug): 2 for slug in STATIONS})
    gap = gap_of(floor, [pair("v-2", "p-2", "lane")], levels)
    assert (gap.cause, gap.competitors) == (TOO_FEW_FOR_ALL, ("p-2",))
    assert gap.because.startswith("p-1, p-2 take 3 mentors between them, and only 2 are cleared for any of them")
    assert [one.mentor for one in gap.could] == ["v-1"]
    on_duty = gap_of(floor, [Placed(1, "lane", "v-2", LEAD, None, 3)], levels)
    assert on_duty.because == "p-1 takes more mentors than are cleared and free (v-1); the others: v-2 (leads, Lane)."


def test_two_who_could_be_placed_but_not_together_are_too_few() -> None:
    """Both would work supervised and the one lead answers for one; together they are what p-1 takes."""
    levels: Levels = {("v-1", "games", "p-1"): 1, ("v-2", "games", "p-1"): 1}
    floor = replace(hall(volunteers="v-1 v-2 v-9", mentors=2), supervised_per_lead=1)
    gap = gap_of(floor, [Placed(1, "games", "v-9", LEAD, None, 3)], levels)
    assert gap.cause == NO_ROOM_OR_LEAD
    assert gap.because == (
        "Too few of those who are cleared for p-1 and free can be placed: "
        "Games needs another lead for one more supervised mentor."
    )


def test_whoever_is_in_another_session_could_not_lead() -> None:
    """Though free in this one."""
    asks = {"lane": replace(STATIONS["lane"], leads=1)}
    floor = replace(hall(volunteers="v-1 v-2"), stations=asks, elsewhere={(1, "v-2"): "s-99"})
    levels: Levels = {("v-2", "lane", None): 3}
    (gap,) = find_lead_gaps(floor, [pair("v-1", "p-1", "lane")], lambda *key: levels.get(key, 0))
    assert gap.could == ()


def test_a_covered_block_is_no_gap() -> None:
    """Neither with one mentor nor with more than wanted; somebody no longer cleared covers nobody."""
    levels: Levels = {("v-1", "lane", "p-1"): 2}
    covered = [pair("v-1", "p-1", "lane")], [pair("v-1", "p-1", "lane"), pair("v-2", "p-1", "lane")]
    for placed in covered:
        assert find_gaps(hall(), placed, lambda *key: levels.get(key, 0), lambda *_: ()) == ()
    assert gap_of(hall(), [pair("v-1", "p-1", "lane", 0)], {}).have == 0


def test_a_station_whose_lead_may_no_longer_lead_says_who_could() -> None:
    """Only who is free and may lead there; until then nobody more is placed."""
    asks = {"lane": replace(STATIONS["lane"], leads=1, capacity=2)}
    floor = replace(hall("p-1 p-2", "v-1 v-2 v-3"), stations=asks)
    placed = [Placed(1, "lane", "v-3", LEAD, None, 2), pair("v-1", "p-1", "lane")]
    levels: Levels = {(who, "lane", None): 3 for who in ("v-1", "v-2")} | {("v-2", "lane", "p-2"): 2}
    (gap,) = find_lead_gaps(floor, placed, lambda *key: levels.get(key, 0))
    assert (gap.station, gap.lacking, gap.could) == ("lane", 1, ("v-2",))
    assert gap_of(floor, placed, levels).because.endswith("can be placed: Lane needs its lead first.")
    led = [*placed, Placed(1, "lane", "v-2", LEAD, None, 3)]
    assert find_lead_gaps(floor, led, lambda *key: levels.get(key, 0)) == ()


def test_the_same_reason_in_several_blocks_is_told_once() -> None:
    """By participant, with the blocks."""
    asked = Floor((1, 2), STATIONS, ("p-1",), ("v-1",), 2)
    (one,) = by_participant(find_gaps(asked, [], lambda *_: 0, lambda *_: ()))
    assert (one.participant, one.blocks) == ("p-1", (1, 2))


def test_a_gap_as_json_carries_cause_words_and_names() -> None:
    """The form that is documented."""
    assert as_json(gap_of(hall(), [], {})) == {
        "block": 1, "participant": "p-1", "station": None, "have": 0, "wanted": 1,
        "because": [{"cause": "nobody_cleared", "words": "Nobody expected is cleared for p-1."}],
        "nearest": [{"person": "v-9", "station": "lane", "lacks": ["be signed off"]}], "could": [], "competitors": [],
    }  # fmt: skip


def test_the_nearest_are_those_who_lack_least_and_nobody_stood_down(world: World) -> None:
    """Of three who lack the skill one is stood down; who lacks everything comes last; the card alone is told apart."""
    saturday(world)
    world.add_person("v-007")
    world.hold("v-007", "module/safety", "paper/background-check", "skill/guarding", "card/p-02@1")
    world.clock.forward(minutes=1)
    with world.writing() as db:
        for code in ("v-001", "v-005"):
            pause(db, world.clock.now(), COORDINATES, code, STOOD_DOWN, "", date(2026, 10, 16), None, "A doubt.")
    world.clock.forward(minutes=1)
    with world.reading() as db:
        plan = plan_for(db, "s-11", world.clock.now())
        near = plan.nearest_of("p-01", ("balance-lane",))
        assert [(one.mentor, one.distance) for one in near] == [("v-003", 1), ("v-006", 1), ("v-004", 3)]
        assert near[0].lacks == ("be signed off for Guarding a balance task",)


@pytest.mark.parametrize("block", [1, 2])
def test_gaps_of_a_stored_plan_close_as_it_is_filled(floor: World, block: int) -> None:
    """Placed in one block, a participant is a gap in the other only."""
    put(floor, block, "balance-lane", "v-002", "p-01")
    with floor.reading() as db:
        found = gaps(db, "s-11", floor.clock.now())
    assert [gap.block for gap in found if gap.participant == "p-01"] == [3 - block]
