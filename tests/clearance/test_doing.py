"""Each reason leads to where something is done about it: for the volunteer, for an observer, for the coordinator."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, time
from html import unescape

import pytest

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.clearance.decision import Ground
from mentor_training.clearance.doing import COORDINATOR, OBSERVER, SELF, Way, way_out, way_to
from mentor_training.program.requirements import Hours, Item, Sessions
from tests.builders import FRIDAY, World
from tests.sign_in import Visitor

PAGE = "/clearance/people/v-001/at/balance-lane"


@pytest.fixture
def people(world: World) -> World:
    """Give a world with a newcomer, the coordinator, and an observer of the newcomer's session."""
    world.add_person("c-01", "coordinator")
    world.add_person("o-01", "observer")
    world.add_person("v-001", name="Odalys Brannagh")
    with world.writing() as db:
        db.add(
            ProgramSession(
                code="s-01", title="Friday", day=FRIDAY, starts=time(9), ends=time(10), stations=("balance-lane",),
                recorded_at=world.clock.now(),
            )
        )  # fmt: skip
        db.flush()
        for kind, code in (("observer", "o-01"), ("volunteer", "v-001")):
            db.add(Expected(session="s-01", kind=kind, code=code))
    return world


def links(page: str) -> dict[str, str]:
    """Return the links of the reasons of a page, by what stands before them."""
    found = re.findall(r"<li>([^<]+) <a href=\"([^\"]+)\">", page.split("<main")[1])
    return {unescape(text).strip(): unescape(address) for text, address in found}


def test_the_volunteer_is_led_to_where_each_thing_is_done(people: World, visitor: Callable[[str], Visitor]) -> None:
    """Module, skill, paper, hours: each to the own page, and each of these opens."""
    volunteer = visitor("v-001")
    found = links(volunteer.get(PAGE).text)
    assert found["not allowed on the floor yet: complete the module Safety"] == "/learn/safety"
    assert found["not allowed on the floor yet: have on file: Background check"] == "/papers?paper=background-check#put"
    assert found["be signed off for Guarding a balance task"] == "/path/skills/guarding"
    assert found["10 approved hours of direct (0 so far)"] == "/hours"
    assert {volunteer.get(address).status_code for address in found.values()} <= {200, 302}


def test_the_coordinator_is_led_to_the_volunteers_own_places(people: World, visitor: Callable[[str], Visitor]) -> None:
    """Their papers, what was seen of them; and each of these opens."""
    coordinator = visitor("c-01")
    found = links(coordinator.get(PAGE).text)
    assert found["not allowed on the floor yet: have on file: Background check"] == (
        "/papers/of/v-001?paper=background-check#put"
    )
    assert found["be signed off for Guarding a balance task"] == "/observe/v-001/guarding/sign-off"
    assert found["not allowed on the floor yet: complete the module Safety"] == "/learn/safety/whole"
    assert {coordinator.get(address).status_code for address in found.values()} == {200}


def test_an_observer_is_led_to_observing(people: World, visitor: Callable[[str], Visitor]) -> None:
    """To what has been seen of the skill; papers are not theirs to put on file."""
    observer = visitor("o-01")
    found = links(observer.get(PAGE).text)
    assert found["be signed off for Guarding a balance task"] == "/observe/v-001/guarding/sign-off"
    assert not any("papers" in address for address in found.values())
    assert {observer.get(address).status_code for address in found.values()} == {200}


def test_a_stand_down_leads_the_coordinator_to_lifting_it(people: World, visitor: Callable[[str], Visitor]) -> None:
    """And nobody else."""
    coordinator = visitor("c-01")
    sent = coordinator.send(
        "/clearance/people/v-001/records",
        "/clearance/people/v-001/pause",
        kind="stood-down",
        scope="",
        reason="Paused.",
    )
    assert sent.status_code == 303
    assert "/records/r-0001/correct" in links(coordinator.get(PAGE).text).values()
    assert "/records/r-0001/correct" not in visitor("v-001").get(PAGE).text


def test_what_only_a_pair_has_leads_to_the_participant(people: World, visitor: Callable[[str], Visitor]) -> None:
    """The card to be read, the review that is due, the keep-apart list."""
    people.add_participant("p-01", keep_apart="v-001", review_by=date(2026, 10, 1))
    coordinator = visitor("c-01")
    found = links(coordinator.get(f"{PAGE}?participant=p-01").text)
    assert found["the two are kept apart (participant p-01)"] == "/participants/p-01"
    assert found["the card p-01@1 has not been read in its latest version"] == "/participants/p-01#card"
    assert "/participants/p-01/card" in found.values()
    assert {coordinator.get(address).status_code for address in found.values()} <= {200}


@pytest.mark.parametrize("viewer", [SELF, OBSERVER, COORDINATOR])
def test_sessions_lead_to_sessions_for_everybody(viewer: str) -> None:
    """For oneself to one's own."""
    way = way_to(Sessions(3), "v-001", viewer)
    assert way is not None
    assert way.endpoint == ("planning.pairing" if viewer == SELF else "planning.listing")


def test_where_nobody_can_do_anything_there_is_no_link() -> None:
    """An observer does nothing about hours, and a volunteer nothing about being kept apart."""
    assert way_to(Hours("direct", 10), "v-001", OBSERVER) is None
    assert way_to(Item("paper/x"), "v-001", OBSERVER) is None
    assert way_to(Item("card/p-01@2"), "v-001", COORDINATOR) is None
    assert way_out(Ground("keep_apart", "p-01"), SELF) is None
    assert way_out(Ground("entry", ()), COORDINATOR) is None


def test_a_volunteer_reads_an_unread_card_where_it_was_handed_over() -> None:
    """Participant and version come apart at the last sign."""
    assert way_out(Ground("read_card", "p-01@3"), SELF) == Way(
        "planning.card", "Read the card", {"participant": "p-01", "version": "3"}
    )
