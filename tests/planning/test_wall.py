"""The wall: which block is now and next, how many stations a screen shows, and that nothing private is on it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mentor_training.planning.actions.closing_stations import close_station
from mentor_training.planning.tables import Placement
from mentor_training.planning.wall import (
    AFTER,
    BEFORE,
    BETWEEN,
    FEW_ON_A_SCREEN,
    MOST_ON_A_SCREEN,
    OTHER_DAY,
    RUNNING,
    Crew,
    Spot,
    is_roomy,
    moment_of_session,
    screens_of,
)
from tests.builders import World
from tests.planning.gym import gym
from tests.planning.saturday import COORDINATES, SATURDAY, at, put, session
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
WALL = "/sessions/s-11/wall"


@pytest.mark.parametrize(
    ("clock", "state", "now", "following"),
    [
        ("08:00", BEFORE, None, 1), ("09:50", RUNNING, 1, 2), ("10:01", RUNNING, 1, 2), ("10:02", BETWEEN, None, 2),
        ("10:05", RUNNING, 2, None), ("10:16", RUNNING, 2, None), ("10:17", AFTER, None, None),
    ],
)  # fmt: skip
def test_a_block_runs_from_its_first_minute_to_before_its_last(
    clock: str, state: str, now: int | None, following: int | None
) -> None:
    """Between two blocks nothing is now; after the last nothing is next."""
    found = moment_of_session(session(), SATURDAY, time.fromisoformat(clock))
    numbers = [block.number if block else None for block in (found.now, found.next)]
    assert (found.state, *numbers) == (state, now, following)


def test_on_another_day_the_first_block_is_next_whatever_the_clock() -> None:
    """A wall that was left open over night says which day is meant."""
    found = moment_of_session(session(), SATURDAY + timedelta(days=1), time(9, 55))
    assert (found.state, found.now, found.next) == (OTHER_DAY, None, session().blocks[0])


def test_a_session_without_blocks_has_nothing_now_and_nothing_next() -> None:
    """No error on a session that is still being made."""
    found = moment_of_session(replace(session(), blocks=()), SATURDAY, time(9, 55))
    assert (found.state, found.now, found.next) == (AFTER, None, None)


CREWS = st.builds(Crew, mentors=st.lists(st.text("ab", min_size=1, max_size=12), max_size=40).map(tuple))
SPOTS = st.lists(st.builds(Spot, st.text(), st.just(False), CREWS, CREWS), max_size=14)


@given(SPOTS)
def test_every_station_stands_on_one_screen_and_none_has_more_than_six(spots: list[Spot]) -> None:
    """In their order; with many names three stand on a screen; larger letters only where six would fit."""
    screens = screens_of(spots)
    assert [spot for screen in screens for spot in screen] == spots
    assert max(len(screen) for screen in screens) <= MOST_ON_A_SCREEN
    if is_roomy(spots):
        assert len(screens) == max(1, -(-len(spots) // MOST_ON_A_SCREEN))
    elif len(screens) > 1 and len(spots) <= MOST_ON_A_SCREEN:
        assert len(screens[0]) == FEW_ON_A_SCREEN


def main_of(visitor: Visitor, address: str = WALL) -> str:
    """Return what the wall shows: the page without the frame around it."""
    return visitor.get(address).text.partition("<main")[2].partition("</main>")[0]


def test_a_wall_names_volunteers_by_first_names_and_participants_not_at_all(floor: World, visitor: Sign) -> None:
    """No name, no code, no level, no reason: visitors see a wall."""
    put(floor, 1, "balance-lane", "v-001", role="lead")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    floor.clock.moment = at("09:55")
    page = main_of(visitor("c-01"))
    assert "Now, open, 1 participant" in page
    assert "Person v. v-003" in page  # all of them have the same name in this program
    for private in ("Name0", "p-0", "Supervised", "Independent", "sup.", "cleared", "fall-risk", "Keep the lane dry"):
        assert private not in page


def test_no_participant_of_a_full_gym_is_on_its_wall(world: World, visitor: Sign) -> None:
    """Those whom a volunteer shares a first name with are told apart by the count of it: only volunteers are there."""
    gym(world)
    world.clock.moment = at("10:20")
    page = re.sub(r"<[^>]+>", " ", main_of(visitor("c-01")))
    assert page.count("10 participants") == 12
    assert not re.search(r"\b[pv]-\d", page)
    assert "Bexley L., Chidera T." in page
    assert "Lindqvarne" not in page


def test_a_wall_asks_again_by_itself_and_can_be_held(floor: World, visitor: Sign) -> None:
    """By a header, without script; whoever needs time holds it still (WCAG 2.2.2)."""
    coordinator = visitor("c-01")
    assert coordinator.get(WALL).headers["Refresh"] == "20"
    held = coordinator.get(f"{WALL}?hold=1")
    assert "Refresh" not in held.headers
    assert "Go on by itself" in held.text


def test_a_wall_of_many_stations_goes_on_to_its_next_screen(world: World, visitor: Sign) -> None:
    """And from the last to the first; a screen that is not there is the nearest."""
    gym(world, participants=70, stations=7)
    coordinator = visitor("c-01")
    assert coordinator.get(WALL).headers["Refresh"] == f"12; url={WALL}?screen=2"
    assert coordinator.get(f"{WALL}?screen=9").headers["Refresh"] == f"12; url={WALL}?screen=1"
    assert "Screen 2 of 2" in coordinator.get(f"{WALL}?screen=2").text


def test_an_empty_plan_says_so_and_a_station_without_anybody_is_empty_and_not_closed(
    floor: World, visitor: Sign
) -> None:
    """Not planned yet, empty, open and closed are four things; closed is a record, with its reason."""
    coordinator = visitor("c-01")
    assert main_of(coordinator).count("Not planned yet") == 2
    put(floor, 1, "target-games", "v-002", "p-02")
    floor.clock.moment = at("09:55")
    page = main_of(coordinator)
    lane, _, games = page.partition("Target games")
    assert "Empty: nobody is placed" in lane
    assert "Now, open, 1 participant" in games
    assert "Closed" not in page
    assert page.count("Not planned yet") == 2  # block 2, at both places
    with floor.writing() as db:
        close_station(db, floor.clock.now(), COORDINATES, "s-11", "balance-lane", 1, "weather")
    page = main_of(coordinator)
    assert page.partition("Target games")[0].count("Closed") == 2
    assert "<strong>Balance lane</strong> closed from block 1: weather." in page


def test_who_is_no_longer_cleared_is_sent_nowhere(floor: World, visitor: Sign) -> None:
    """A wall is read by the one it names; whom the gate stops today must not find their place on it."""
    put(floor, 1, "target-games", "v-002", "p-02")
    with floor.writing() as db:
        row = db.query(Placement).one()
        row.mentor = "v-004"
    floor.clock.moment = at("09:55")
    page = main_of(visitor("c-01"))
    assert "v-004" not in page
    assert "participant<" not in page


def test_a_wall_is_of_this_moment_whatever_day_is_looked_at(floor: World, visitor: Sign) -> None:
    """On another day it says which day the session is."""
    assert "Sat 17 Oct 2026, from 09:30." in main_of(visitor("c-01"))
    floor.clock.moment = at("11:00")
    assert "The last block has ended." in main_of(visitor("c-01"), f"{WALL}?on=2026-10-01")


def test_only_who_may_see_the_floor_opens_its_wall(floor: World, visitor: Sign) -> None:
    """Observers of the session and the coordinator; a volunteer reads it on the wall."""
    assert COORDINATES.code == "c-01"
    assert [visitor(who).get(WALL).status_code for who in ("c-01", "o-01", "o-02", "v-002")] == [200, 200, 403, 403]
