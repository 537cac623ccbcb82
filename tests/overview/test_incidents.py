"""Incidents through HTTP: reported from the floor, beside the floor as it ran, and never shown to volunteers."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.journal.queries import entries
from mentor_training.observing.queries.incidents import additions_to, incidents
from mentor_training.planning.actions.closing import close
from tests.builders import World
from tests.overview.test_my_path import words_of
from tests.planning.saturday import COORDINATES, SATURDAY, ZONE, at, put, saturday
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]
NEW = "/incidents/new?session=s-11"
ACTION = "/incidents/new"
FACTS = {
    "about": "09:55", "block": "1", "station": "balance-lane", "led_by": "v-001", "involved": ["v-002"],
    "what": "A private word: the strap tore and the belt slid; v-002 called out.",
}  # fmt: skip


@pytest.fixture
def floor(world: World) -> World:
    """Give the small Saturday, planned, half an hour after it began."""
    saturday(world)
    world.add_person("i-01", "course-instructor")
    put(world, 1, "balance-lane", "v-001", role="lead")
    put(world, 1, "balance-lane", "v-002", "p-02")
    world.clock.moment = at("10:00")
    return world


def report(visitor: Visit, code: str = "o-01", **changed: object) -> str:
    """Report the incident, and return where that led."""
    answer = visitor(code).send(NEW, ACTION, **{**FACTS, **changed})
    assert answer.status_code == 303, words_of(answer.text)
    return str(answer.location)


def test_an_observer_reports_from_the_floor_and_sees_only_what_they_reported(floor: World, visitor: Visit) -> None:
    """The day is the session's; the journal holds no word of it."""
    observer = visitor("o-01")
    assert 'href="/incidents/new?session=s-11"' in observer.get("/today").text
    assert "Week 6, Saturday morning" in observer.get("/incidents/new").text
    page = report(visitor)
    shown = words_of(observer.get(page).text)
    assert "the strap tore" in shown
    assert "Person v-001 led there." in shown
    assert "The floor as it ran" not in shown
    assert observer.get("/incidents").status_code == 403
    assert visitor("o-02").get(page).status_code == 403
    with floor.reading() as db:
        row = incidents(db)[0]
        assert (row.session, row.day, row.block, row.involved) == ("s-11", SATURDAY, 1, ("v-002",))
        assert "private word" not in " ".join(entry.record for entry in entries(db, "1"))


def test_the_coordinator_sees_the_floor_as_it_ran_once_the_session_is_closed(floor: World, visitor: Visit) -> None:
    """Who was with whom, where, under which lead, with each level as it stood then."""
    page = report(visitor)
    coordinator = visitor("c-01")
    assert "has not been closed yet" in coordinator.get(page).text
    floor.clock.moment = at("11:30")
    with floor.writing() as db:
        close(db, floor.clock.now(), COORDINATES, "s-11", ZONE)
    shown = words_of(coordinator.get(page).text)
    assert "Person v-002 reported 1 Balance lane Name02 Person v-001 Independent" in shown
    assert "Person v-001 1 Balance lane Lead Person v-001 Lead" in shown
    assert "Incident 1, Sat 17 Oct 2026, about 09:55" in words_of(coordinator.get("/incidents").text)
    other = report(visitor, block="2", about="10:10")
    assert "Nobody was placed there then." in coordinator.get(other).text


def test_an_incident_opens_a_review_and_from_there_a_stand_down(floor: World, visitor: Visit) -> None:
    """One review at a time for each volunteer; the incident says how it stands."""
    page = report(visitor)
    coordinator = visitor("c-01")
    opened = coordinator.send(page, f"{page}/reviews/v-002")
    assert (opened.status_code, opened.location) == (303, "/reviews/1")
    review = coordinator.get("/reviews/1").text
    assert "the strap tore" in review
    assert "incident 1" in words_of(coordinator.get("/today").text)
    assert coordinator.send("/reviews/1", "/reviews/1/stand-down").status_code == 303
    shown = coordinator.get(page).text
    assert "stood down" in shown
    assert f'action="{page}/reviews/v-002"' not in shown
    assert "1 review, 1 open" in words_of(coordinator.get("/incidents").text)
    assert coordinator.send("/reviews/1", "/reviews/1/plan", plan="The check of the belt.").status_code == 303
    assert coordinator.send("/reviews/1", "/reviews/1", outcome="A torn strap; replaced.").status_code == 303
    assert "Incident 1" in coordinator.get("/reviews").text


def test_what_was_written_stays_and_is_put_right_by_an_addition(floor: World, visitor: Visit) -> None:
    """By whoever reported it, or the coordinator."""
    page = report(visitor)
    assert visitor("o-01").send(page, page, what="").status_code == 422
    assert visitor("o-01").send(page, page, what="It was the left strap.").status_code == 303
    assert visitor("c-01").send(page, page, what="The belt is out of use.").status_code == 303
    shown = visitor("o-01").get(page).text
    for words in ("the strap tore", "It was the left strap.", "The belt is out of use."):
        assert words in shown
    with floor.reading() as db:
        assert [one.recorded_by for one in additions_to(db, 1)] == ["o-01", "c-01"]


@pytest.mark.parametrize(
    ("page", "changed", "says"),
    [
        (NEW, {"what": ""}, "Write what happened."),
        (NEW, {"about": ""}, "Write the time"),
        (NEW, {"block": "9"}, "Not a valid choice"),
        (NEW, {"involved": ["v-099"]}, "v-099"),
        ("/incidents/new?session=none", {"block": "", "day": "2026-10-18"}, "still ahead"),
        ("/incidents/new?session=none", {"block": "", "day": ""}, "Write the day"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_stored(
    floor: World, visitor: Visit, page: str, changed: dict[str, object], says: str
) -> None:
    """What was typed is kept."""
    answer = visitor("c-01").send(page, ACTION, **{**FACTS, **changed})
    assert answer.status_code == 422
    assert says in answer.text
    with floor.reading() as db:
        assert incidents(db) == []


def test_an_incident_can_be_at_no_session(floor: World, visitor: Visit) -> None:
    """On the way, or after it; then the day is asked for."""
    answer = visitor("c-01").send("/incidents/new?session=none", ACTION, about="12:10", what="A fall on the stairs.")
    assert answer.status_code == 303
    assert "The floor as it ran" not in visitor("c-01").get(answer.location).text


def test_nobody_else_reports_or_sees_an_incident(floor: World, visitor: Visit) -> None:
    """Neither the volunteer it is about nor a course instructor."""
    page = report(visitor)
    for code in ("v-002", "i-01"):
        asked = ("/incidents", "/incidents/new", page)
        assert [visitor(code).get(one).status_code for one in asked] == [403, 403, 403]
    own = visitor("v-002").get("/path/skills").text + visitor("v-002").get("/clearance/people/v-002").text
    assert "strap" not in own
