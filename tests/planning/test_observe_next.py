"""Whom to observe next for the coming sessions: from what was seen, who may see it, and what it would open."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from click.testing import CliRunner, Result

from mentor_training.calendar.actions import store_session
from mentor_training.observing.actions.standings import end_standing, set_standing
from mentor_training.participants.actions import write_card
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.closing_stations import close_station
from mentor_training.planning.commands.planning import observations
from tests.builders import World
from tests.observing.floor import TERM, see_on, sign
from tests.planning.saturday import COORDINATES, at, saturday, session
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE = "/sessions/observe-next"
NEXT_SATURDAY = date(2026, 10, 24)


@pytest.fixture
def coming(world: World) -> World:
    """Give the Saturday, and one a week later with the lane alone, where nobody is cleared for p-01 for want of one
    skill: v-003 has been seen once, v-005 never.
    """
    saturday(world)
    lane = replace(
        session("s-12", NEXT_SATURDAY),
        stations=("balance-lane", "arrival-desk"), participants=("p-01",), volunteers=("v-003", "v-004", "v-005"),
    )  # fmt: skip
    with world.writing() as db:
        store_session(db, world.clock.now(), COORDINATES, lane)
        for code in ("o-01", "o-02"):
            for kind in ("calibrated", "entitled"):
                set_standing(db, at("12:00", TERM), CONSOLE, code, kind, "*", TERM, reason="At the other site.")
    see_on(world, date(2026, 10, 10), "o-02", "v-003")
    return world


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(observations, ["suggest", *words], obj=world.instance)


def told(world: World, *words: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(run(world, *words, "--format", "json").output)
    return answer


def test_who_lacks_one_observation_is_suggested_with_what_it_opens(coming: World) -> None:
    """At the next session, by an observer expected there, counted for the ones after it."""
    answer = told(coming)
    assert (answer["on"], answer["at"], answer["sessions"]) == ("2026-10-17", "s-11", ["s-12"])
    assert (answer["wanted"], answer["coverable"], answer["at_most"], answer["proven"]) == (2, 0, 2, True)
    assert (answer["minutes"], answer["each"]) == ({"o-01": 24}, 15)
    assert answer["suggestions"] == [
        {"person": "v-003", "skill": "guarding", "observer": "o-01", "gain": 2, "coverable": 2}
    ]


def test_what_is_suggested_comes_true(coming: World) -> None:
    """Observed so, the skill is ready, signed off, and as many can be covered as was said."""
    see_on(coming, date(2026, 10, 17), "o-01", "v-003")
    assert told(coming, "--sessions", "s-12")["ready"] == 1
    sign(coming, "o-01", "v-003")
    answer = told(coming, "--sessions", "s-12")
    assert (answer["coverable"], answer["suggestions"], answer["ready"]) == (2, [], 0)


def test_a_card_that_nobody_has_read_hides_nothing(coming: World) -> None:
    """It is handed over when two are to be paired; counted is what the skill opens."""
    with coming.writing() as db:
        now = coming.clock.now()
        write_card(db, now, COORDINATES, "p-01", 1, date(2026, 10, 16), date(2027, 1, 31), "Stand on his left.")
    coming.clock.forward(minutes=1)
    assert told(coming)["suggestions"][0]["gain"] == 2


def test_a_session_that_has_ended_is_no_place_to_observe_at(coming: World) -> None:
    """Closed or not: then the one that is left is counted, and the observations are made before it."""
    coming.clock.moment = at("11:16")
    answer = told(coming)
    assert (answer["on"], answer["at"], answer["sessions"]) == ("2026-10-17", None, ["s-12"])


def test_a_station_that_is_closed_is_not_counted(coming: World) -> None:
    """From block 2 on one participant-block less can be won; closed from the first, nothing is suggested."""
    for block, gains in ((2, [1]), (1, [])):
        with coming.writing() as db:
            close_station(db, coming.clock.now(), COORDINATES, "s-12", "balance-lane", block, "place")
        assert [one["gain"] for one in told(coming)["suggestions"]] == gains


def test_without_time_nothing_is_suggested(coming: World) -> None:
    """An observer with fewer minutes than one observation takes does none."""
    assert told(coming, "--minutes", "14")["suggestions"] == []
    assert told(coming, "--minutes", "14", "--each", "14")["suggestions"] != []


def test_who_is_not_calibrated_or_cannot_make_it_ready_is_not_named(coming: World) -> None:
    """The skill asks for a second observer, and o-01 is the only one who is expected."""
    with coming.writing() as db:
        end_standing(db, coming.clock.now(), CONSOLE, "o-01", "calibrated", "*", date(2026, 10, 16))
    assert told(coming)["suggestions"] == []


def test_the_table_says_how_sure_it_is(coming: World) -> None:
    """And a session that is not coming is not counted."""
    assert "0 of 2 participant-blocks can be covered now at the most, 2 then; proven" in run(coming).output
    assert run(coming, "--format", "csv").output.splitlines()[0] == "person,skill,observer,gain,coverable"
    assert "s-99" in str(run(coming, "--sessions", "s-99").exception)
    for nothing in (",", " "):
        answer = run(coming, "--sessions", nothing)
        assert (answer.exit_code, "names no session; write codes such as s-12,s-13" in answer.output) == (2, True)


def test_coordinator_and_observer_see_it_and_nothing_of_a_participant(coming: World, visitor: Sign) -> None:
    """The observer of one session has that one; volunteers may not ask."""
    page = visitor("c-01").get(PAGE).text
    for words in ("Person v-003", "Guarding a balance task", "Person o-01", "2 more", "2 of 2"):
        assert words in page
    assert "Name01" not in page
    assert "p-01" not in page
    assert visitor("o-01").get(PAGE).status_code == 200
    assert PAGE in visitor("o-01").get("/observe").text
    assert visitor("v-003").get(PAGE).status_code == 403


def test_with_no_session_it_says_what_to_do_first(world: World, visitor: Sign) -> None:
    """And a wish that is no number of minutes is left aside."""
    world.add_person("c-01", "coordinator")
    assert "No session is coming" in visitor("c-01").get(f"{PAGE}?minutes=x").text
    assert told(world)["suggestions"] == []
