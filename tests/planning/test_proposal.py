"""A first proposal: whom it prefers, and what it leaves alone."""

from __future__ import annotations

from mentor_training.planning.proposal import propose
from mentor_training.planning.rules import LEAD, MENTOR, Floor, Placed
from mentor_training.program.catalog import Ladder, Station

Levels = dict[tuple[str, str, str | None], int]


def station(slug: str, capacity: int = 4, leads: int = 0) -> Station:
    return Station(slug, slug.title(), Ladder(()), capacity=capacity, leads=leads)


def proposed(
    levels: Levels, blocks: int = 1, leads: int = 0, mentors: int = 1, standing: tuple[Placed, ...] = (),
    wishes: dict[str, tuple[str, ...]] | None = None,
) -> list[tuple[int, str, str, str, str | None]]:  # fmt: skip
    """Propose for whoever is named in the levels, and return it in plain words."""
    stations = {slug: station(slug, leads=leads) for slug in dict.fromkeys(slug for _, slug, _ in levels)}
    participants = tuple(sorted({one for *_, one in levels if one}))
    volunteers = tuple(sorted({who for who, *_ in levels}))
    wanted = {(one, slug): mentors for one in participants for slug in stations}
    floor = Floor(tuple(range(1, blocks + 1)), stations, participants, volunteers, 2, {}, wanted)
    added = propose(floor, standing, lambda *key: levels.get(key, 0), wishes or {})
    return [(one.block, one.station, one.mentor, one.role, one.participant) for one in added]


def test_who_has_the_fewest_ways_is_placed_first() -> None:
    """p-2 can only work with v-1, so p-1 gets v-2, though v-1 would come first."""
    levels: Levels = {("v-1", "lane", "p-1"): 2, ("v-2", "lane", "p-1"): 2, ("v-1", "lane", "p-2"): 2}
    assert sorted(proposed(levels), key=lambda one: one[4] or "") == [
        (1, "lane", "v-2", MENTOR, "p-1"), (1, "lane", "v-1", MENTOR, "p-2"),
    ]  # fmt: skip


def test_independent_comes_before_supervised_and_a_wish_before_a_code() -> None:
    """v-1 would need a lead; of the two others the one who is wished for."""
    levels: Levels = {("v-1", "lane", "p-1"): 1, ("v-2", "lane", "p-1"): 2, ("v-3", "lane", "p-1"): 2}
    assert proposed(levels, wishes={"p-1": ("v-3",)}) == [(1, "lane", "v-3", MENTOR, "p-1")]


def test_the_same_mentor_stays_through_the_session_and_the_station_changes() -> None:
    """Two blocks, two places: one mentor, both places."""
    levels: Levels = {(who, slug, "p-1"): 2 for who in ("v-1", "v-2") for slug in ("lane", "games")}
    found = proposed(levels, blocks=2)
    assert len({who for _, _, who, _, _ in found}) == 1
    assert {slug for _, slug, *_ in found} == {"lane", "games"}


def test_a_lead_is_set_for_supervised_mentors_and_taken_back_where_nobody_needs_one() -> None:
    """v-9 may lead both places; only where p-1 works supervised somebody leads."""
    levels: Levels = {("v-1", "lane", "p-1"): 1, ("v-9", "lane", None): 3, ("v-8", "games", None): 3}
    assert proposed(levels) == [(1, "lane", "v-9", LEAD, None), (1, "lane", "v-1", MENTOR, "p-1")]


def test_a_lead_whom_nobody_needs_becomes_a_mentor() -> None:
    """The only one who is cleared for p-1 may lead as well: being with p-1 covers more."""
    levels: Levels = {("v-1", "lane", "p-1"): 2, ("v-1", "lane", None): 3}
    assert proposed(levels) == [(1, "lane", "v-1", MENTOR, "p-1")]


def test_who_takes_two_mentors_gets_two_or_none() -> None:
    """One alone would cover nobody."""
    one: Levels = {("v-1", "lane", "p-1"): 2}
    assert proposed(one, mentors=2) == []
    assert len(proposed(one | {("v-2", "lane", "p-1"): 2}, mentors=2)) == 2


def test_half_a_team_that_stands_is_made_whole() -> None:
    """At the station where it stands; who stands is not moved."""
    levels: Levels = {(who, slug, "p-1"): 2 for who in ("v-1", "v-2") for slug in ("games", "lane")}
    standing = (Placed(1, "lane", "v-1", MENTOR, "p-1", 2),)
    assert proposed(levels, mentors=2, standing=standing) == [(1, "lane", "v-2", MENTOR, "p-1")]


def test_who_is_placed_and_no_longer_cleared_covers_nobody() -> None:
    """Another mentor is proposed beside them, at the same station."""
    levels: Levels = {("v-1", "lane", "p-1"): 0, ("v-2", "lane", "p-1"): 2}
    standing = (Placed(1, "lane", "v-1", MENTOR, "p-1", 0),)
    assert proposed(levels, standing=standing) == [(1, "lane", "v-2", MENTOR, "p-1")]
