"""A plan that was found, kept as codes and figures and held to the floor of now."""

from __future__ import annotations

import json
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as some

from mentor_training.planning.proposal import as_json, changed_since, fitting, from_json
from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.planning.solver.search import Found, best_plan
from tests.planning.solver.floors import LevelsOf, floor_of, question

PEOPLE, PARTICIPANTS, PLACES = ("v-1", "v-2", "v-3", "v-4"), ("p-1", "p-2", "p-3"), ("lane", "games")
PAIRS = [(who, slug, participant) for who in PEOPLE for slug in PLACES for participant in PARTICIPANTS]
LEVELS: some.SearchStrategy[LevelsOf] = some.dictionaries(
    some.sampled_from(PAIRS), some.sampled_from((2, 3)), min_size=1
)


def found_for(levels: LevelsOf) -> tuple[Floor, Found]:
    floor = floor_of(levels, blocks=2)
    return floor, best_plan(question(floor, levels), 5)


@given(LEVELS)
def test_what_is_written_is_read_again_the_same(levels: LevelsOf) -> None:
    """As JSON, but for the levels, which are asked anew; and the floor it was asked about has not changed."""
    floor, found = found_for(levels)
    read = from_json(json.loads(json.dumps(as_json(found, floor, (), stopped=False))))
    assert read.added == tuple(replace(one, level=0) for one in found.added)
    assert read.aims == found.aims
    assert changed_since(read, floor, ()) == ()
    assert changed_since(read, floor, found.added) == ()


@given(LEVELS)
def test_on_the_floor_that_it_was_found_for_all_of_it_fits(levels: LevelsOf) -> None:
    """And once it stands, all of it stands already."""
    floor, found = found_for(levels)
    read = from_json(as_json(found, floor, (), stopped=False))

    def level_now(one: Placed) -> int:
        return levels.get((one.mentor, one.station, one.participant), 0)

    now = fitting(floor, (), read.added, level_now)
    assert set(now.new) == set(found.added)
    assert not now.broken
    then = fitting(floor, found.added, read.added, level_now)
    assert (set(then.already), then.new, then.broken) == (set(read.added), (), {})


@given(LEVELS)
def test_where_a_clearance_is_gone_what_rested_on_it_is_named_and_the_rest_still_fits(levels: LevelsOf) -> None:
    """Nobody with level 0 is placed."""
    floor, found = found_for(levels)
    now = fitting(floor, (), found.added, lambda one: 0 if one.mentor == "v-1" else one.level)
    assert {one.mentor for one in now.broken} <= {"v-1"}
    assert {one.mentor for one in now.new} <= {"v-2", "v-3", "v-4"}
    assert len(now.new) + len(now.broken) == len(found.added)
    assert bool(now.reasons) == bool(now.broken)


def test_what_has_changed_is_counted_in_words_without_a_name() -> None:
    """Placements made and taken out, people more and fewer, stations opened and closed."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "games", "p-2"): 2}
    floor, found = found_for(levels)
    stood = Placed(1, "lane", "v-9", LEAD, None, 3)
    read = from_json(as_json(found, floor, (stood,), stopped=True))
    assert read.stopped
    other = Placed(2, "games", "v-1", MENTOR, "p-2", 2)
    smaller = replace(floor, volunteers=("v-1", "v-7", "v-8"), blocks=(1, 2, 3))
    assert changed_since(read, smaller, (other,)) == (
        "1 placement was made",
        "1 placement was taken out",
        "2 more people are expected",
        "1 person is no longer expected",
        "2 stations and blocks were opened or closed",
    )


def test_who_says_meanwhile_that_they_cannot_come_is_not_placed_unasked() -> None:
    """The proposal is kept and says so; whoever stands already is another matter, and waits for a decision."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2}
    floor, found = found_for(levels)
    read = from_json(as_json(found, floor, (), stopped=False))
    now = replace(floor, unavailable=frozenset({(1, "v-1")}))
    fits = fitting(now, (), found.added, lambda one: one.level)
    assert fits.reasons == ("v-1 says that they cannot come in block 1.",)
    assert [one.block for one in fits.new] == [2]
    assert changed_since(read, now, ()) == ("1 answer to who comes when has changed",)
    assert not fitting(now, found.added, found.added, lambda one: one.level).broken


def test_leads_are_placed_before_whom_they_lead() -> None:
    """Whatever order a proposal is in."""
    levels: LevelsOf = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", None): 3}
    floor = floor_of({("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-1"): 2}, leads=1)
    pair, lead = Placed(1, "lane", "v-1", MENTOR, "p-1", 0), Placed(1, "lane", "v-2", LEAD, None, 0)
    now = fitting(floor, (), (pair, lead), lambda one: levels.get((one.mentor, one.station, one.participant), 0))
    assert [one.mentor for one in now.new] == ["v-2", "v-1"]
