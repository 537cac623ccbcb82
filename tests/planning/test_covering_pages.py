"""Who could step in: on the coordinator's phone and on the command line, with who is checked in."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner, Result

from mentor_training.clearance.actions import pause
from mentor_training.evidence.facts import STOOD_DOWN
from mentor_training.journal.queries import entries
from mentor_training.planning.commands.planning import cover
from mentor_training.planning.queries.covering import at_hand
from mentor_training.planning.queries.plan import plan_for
from tests.builders import World
from tests.planning.saturday import COORDINATES, SATURDAY, at, put
from tests.sign_in import Visitor
from tests.small_program import small_files

Sign = Callable[[str], Visitor]
PAGE = "/sessions/s-11/blocks/1/cover"


@pytest.fixture
def coordinator(floor: World, visitor: Sign) -> Visitor:
    """Sign the coordinator in."""
    return visitor("c-01")


@pytest.fixture
def morning(floor: World, coordinator: Visitor) -> World:
    """Give the Saturday at 9:35: v-001 leads the lane, v-002 is with p-01 there; all but v-002 and v-006 are here."""
    put(floor, 1, "balance-lane", "v-001", role="lead")
    put(floor, 1, "balance-lane", "v-002", "p-01")
    floor.clock.moment = at("09:35")
    for code in ("v-001", "v-003", "v-004", "v-005"):
        come(coordinator, code)
    return floor


def come(who: Visitor, code: str) -> None:
    page = "/sessions/s-11/check-in"
    assert who.send(page, f"{page}/volunteer/{code}").status_code == 303


def run(world: World, *words: str) -> Result:
    return CliRunner().invoke(cover, ["s-11", "--block", "1", *words], obj=world.instance)


def told(world: World, *words: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(run(world, *words, "--format", "json").output)
    return answer


def nearness(opening: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one["person"], one["nearness"]) for one in opening["covers"]]


def test_before_anybody_came_those_who_are_expected_are_asked_and_it_says_so(
    floor: World, coordinator: Visitor
) -> None:
    """On the page and on the command line."""
    assert told(floor)["at_hand"] == "expected"
    assert "Nobody is checked in yet: these are expected." in run(floor).output
    assert "nobody is checked in yet" in coordinator.get(f"{PAGE}?participant=p-02").text
    assert "Nobody is checked in yet" in coordinator.get(PAGE).text


def test_only_who_is_checked_in_and_has_not_left_is_named(morning: World, coordinator: Visitor) -> None:
    """v-002 and v-006 have not come; v-003 leaves again."""
    assert {who for who, _ in nearness(told(morning, "--participant", "p-02")["openings"][0])} == {
        "v-001", "v-003", "v-004", "v-005",
    }  # fmt: skip
    page = "/sessions/s-11/check-in"
    coordinator.send(page, "/sessions/s-11/check-out/volunteer/v-003")
    with morning.reading() as db:
        assert at_hand(db, plan_for(db, "s-11", morning.clock.now())).volunteers == {"v-001", "v-004", "v-005"}


def test_who_can_be_placed_at_once_stands_before_who_is_elsewhere_and_who_lacks_something(morning: World) -> None:
    """With the place where they are, and what is lacking counted and in words."""
    answer = told(morning, "--participant", "p-02")
    assert (answer["session"], answer["on"], answer["block"]) == ("s-11", "2026-10-17", 1)
    assert answer["at_hand"] == "checked_in"
    (opening,) = answer["openings"]
    assert (opening["participant"], opening["role"]) == ("p-02", "mentor")
    assert opening["stations"] == ["balance-lane", "target-games"]
    assert nearness(opening) == [
        ("v-003", "at_once"), ("v-005", "at_once"), ("v-001", "elsewhere"), ("v-004", "not_cleared"),
    ]  # fmt: skip
    lead, without = opening["covers"][2:]
    assert lead["placed"] == {"station": "balance-lane", "role": "lead", "participant": None}
    assert without["lacking"] == 2
    assert without["lacks"] == [
        "not allowed on the floor yet: have on file: Background check, complete the module Safety"
    ]


def test_whoever_is_placed_and_has_not_come_leaves_an_opening(morning: World) -> None:
    """p-01's mentor is missing, so they are asked about where they are; v-002 is named as absent."""
    by_whom = {one["participant"] or one["stations"][0]: one for one in told(morning)["openings"]}
    assert by_whom.keys() == {"p-01", "p-02", "p-03"}
    assert (by_whom["p-01"]["absent"], by_whom["p-01"]["stations"]) == (["v-002"], ["balance-lane"])
    assert nearness(by_whom["p-01"])[0] == ("v-001", "elsewhere")
    assert [one["lacks"] for one in by_whom["p-01"]["covers"] if one["person"] == "v-003"] == [
        ["be signed off for Guarding a balance task"]
    ]


def test_a_lead_who_leaves_is_asked_about_by_station(morning: World, coordinator: Visitor) -> None:
    """What is counted is what is missing up to the rung of leads; a duty is asked about without --lead."""
    stations = small_files()["program/stations.toml"].replace("leads = 0", "leads = 1", 1)
    morning.publish(small_files() | {"program/stations.toml": stations}, number=2)
    coordinator.send("/sessions/s-11/check-in", "/sessions/s-11/check-out/volunteer/v-001")
    come(coordinator, "v-002")
    (opening,) = [one for one in told(morning)["openings"] if one["role"] == "lead"]
    assert opening == told(morning, "--station", "balance-lane", "--lead")["openings"][0]
    assert opening["absent"] == ["v-001"]
    first = opening["covers"][0]
    assert (first["person"], first["nearness"]) == ("v-002", "not_cleared")
    assert first["lacks"] == ["be signed off for Leading a station", "10 approved hours of direct (0 so far)"]
    duty = told(morning, "--station", "arrival-desk")["openings"][0]
    assert (duty["role"], duty["covers"][0]["nearness"]) == ("duty", "at_once")


def test_who_is_stood_down_is_not_named(morning: World) -> None:
    """Nothing that they could do before the block brings them in."""
    with morning.writing() as db:
        pause(db, morning.clock.now(), COORDINATES, "v-003", STOOD_DOWN, "", SATURDAY, None, "Left the lane.")
    morning.clock.forward(minutes=1)
    people = [who for who, _ in nearness(told(morning, "--participant", "p-02")["openings"][0])]
    assert people == ["v-005", "v-001", "v-004"]


def test_the_page_leads_to_the_place_with_the_choice_made(morning: World, coordinator: Visitor) -> None:
    """From the session to the block to the list; one press more places them, and what is open shrinks."""
    assert PAGE in coordinator.get("/sessions/s-11").text
    assert PAGE in coordinator.get("/sessions/s-11/blocks/1").text
    assert "Person v-002 is placed there and is not here" in coordinator.get(PAGE).text
    shown = coordinator.get(f"{PAGE}?participant=p-02").text
    assert "2 could be placed at once" in shown
    assert "Now as lead, Balance lane" in shown
    link = "/sessions/s-11/blocks/1/place?participant=p-02&amp;who=target-games%7Cv-003"
    assert link in shown
    page = coordinator.get(link.replace("&amp;", "&")).text
    assert '<option selected value="target-games|v-003">' in page
    assert coordinator.fill(page, "/sessions/s-11/blocks/1/place").status_code == 303
    assert "A mentor for Name02" not in coordinator.get(PAGE).text


def test_the_journal_keeps_that_it_was_asked_about_a_participant(morning: World, coordinator: Visitor) -> None:
    """By page and by command; what is open, which says nothing of what anybody lacks, is no look."""
    coordinator.get(PAGE)
    with morning.reading() as db:
        assert entries(db, kind="looked") == []
    coordinator.get(f"{PAGE}?participant=p-02")
    run(morning, "--participant", "p-03")
    with morning.reading() as db:
        assert [(one.who, one.subject) for one in entries(db, kind="looked")] == [("console", "p-03"), ("c-01", "p-02")]


def test_neither_needs_nor_another_name_than_the_first_stands_on_it(morning: World, coordinator: Visitor) -> None:
    """And only the coordinator may ask."""
    for address in (PAGE, f"{PAGE}?participant=p-01", f"{PAGE}?station=balance-lane&role=lead"):
        page = coordinator.get(address).text
        assert "fall-risk" not in page
        assert "Stay within" not in page


def test_observers_and_volunteers_may_not_ask(morning: World, visitor: Sign) -> None:
    """What somebody lacks is the coordinator's."""
    for who in ("o-01", "v-003"):
        assert visitor(who).get(PAGE).status_code == 403
        assert PAGE not in visitor(who).get("/sessions/s-11").text


@pytest.mark.parametrize(
    "words",
    ["?participant=p-09", "?station=nowhere", "?station=balance-lane", "?station=nowhere&role=lead"],
)
def test_what_is_not_there_is_said(morning: World, coordinator: Visitor, words: str) -> None:
    """A participant who is not expected, a station that is not open, a place that is no duty."""
    assert coordinator.get(PAGE + words).status_code == 404
    assert coordinator.get("/sessions/s-11/blocks/9/cover").status_code == 404


def test_the_command_takes_one_question_or_none(morning: World) -> None:
    """Wrong usage has status 2; tables and CSV have a row for each volunteer."""
    assert run(morning, "--participant", "p-01", "--station", "balance-lane").exit_code == 2
    assert run(morning, "--lead").exit_code == 2
    lines = run(morning, "--participant", "p-02", "--format", "csv").output.splitlines()
    assert lines[0] == "for,nearness,person,station,level,placed,lacking,what stands between"
    assert lines[1] == "p-02,at once,v-003,target-games,2,,0,"
    assert "p-02,elsewhere,v-001,balance-lane,3,lead at balance-lane,0," in lines
