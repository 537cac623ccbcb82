"""A plan that stands while a lead is stood down or a new edition takes effect: nobody reads a yes that is none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.planning.queries.pairings import next_pairings
from mentor_training.planning.queries.plan import fallen_of, plan_for
from tests.builders import FRIDAY, World
from tests.planning.saturday import COORDINATES, accept_best, put
from tests.sign_in import Visitor
from tests.small_program import small_files

Sign = Callable[[str], Visitor]


@pytest.fixture
def led(floor: World) -> World:
    """Give the Saturday with a supervised mentor under a lead who has been stood down since."""
    put(floor, 1, "balance-lane", "v-001", role="lead")
    put(floor, 1, "balance-lane", "v-003", "p-02")
    with floor.writing() as db:
        pause(db, floor.clock.now(), COORDINATES, "v-001", STOOD_DOWN, "", FRIDAY, None, "A doubt to be looked into.")
    return floor


def drop_target_games(world: World) -> None:
    """Publish an edition without the station target games, in force before the Saturday."""
    stations = small_files()["program/stations.toml"].replace('"target-games"', '"target-play"')
    world.publish(small_files() | {"program/stations.toml": stations}, effective=FRIDAY, number=2)


def test_a_supervised_mentor_whose_lead_is_stood_down_is_said_not_to_hold(led: World) -> None:
    """A level of 1 counts only where a lead is on: the coordinator sees both, not the lead alone."""
    with led.reading() as db:
        found = {one.standing.placed.mentor: one.reasons for one in fallen_of(plan_for(db, "s-11", led.clock.now()))}
    assert set(found) == {"v-001", "v-003"}
    assert "works supervised there, and no lead is on at Balance lane" in found["v-003"][0]


def test_a_supervised_mentor_reads_to_stop_and_not_the_name_of_a_lead_who_was_stood_down(led: World) -> None:
    """Their page says not to start, for there is nobody in whose sight they would work."""
    with led.reading() as db:
        (pairing,) = next_pairings(db, "v-003", FRIDAY, led.clock.now())
    assert (pairing.blocks[0].level, pairing.blocks[0].leads) == (0, ())
    assert "nobody who may lead" in pairing.blocks[0].reasons[0]


@pytest.mark.parametrize(
    "page", ["", "/blocks/1", "/close", "/print", "/check-in", "/blocks/1/place?participant=p-02", "/edit"]
)
def test_a_session_opens_after_an_edition_dropped_a_station_where_somebody_is_placed(
    floor: World, visitor: Sign, page: str
) -> None:
    """Only there can they be taken out of the plan."""
    put(floor, 1, "target-games", "v-002", "p-02")
    drop_target_games(floor)
    coordinator = visitor("c-01")
    assert coordinator.get(f"/sessions/s-11{page}").status_code == 200
    taken_out = coordinator.send("/sessions/s-11", "/sessions/s-11/blocks/1/remove/1")
    assert taken_out.status_code == 303


def test_a_proposal_goes_past_a_station_that_an_edition_dropped(floor: World) -> None:
    """Whoever stands there stays and covers nobody; the others are placed."""
    put(floor, 1, "target-games", "v-002", "p-02")
    drop_target_games(floor)
    added = accept_best(floor)
    assert added
    assert {one.station for one in added} <= {"balance-lane", "arrival-desk"}


def test_a_mentor_placed_at_a_station_that_was_dropped_reads_not_to_start(floor: World, visitor: Sign) -> None:
    """The page opens, names the station as it was last called, and says why it is not to be worked."""
    put(floor, 1, "target-games", "v-002", "p-02")
    drop_target_games(floor)
    with floor.reading() as db:
        (pairing,) = next_pairings(db, "v-002", date(2026, 10, 16), floor.clock.now())
    assert pairing.blocks[0].level == 0
    page = visitor("v-002").get("/pairing").text
    assert "Target games" in page
    assert "There is no target-games in edition 2 of the program any more." in page
