"""What the day asks of those who run it, through HTTP."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from mentor_training.calendar.actions import store_session
from mentor_training.evidence.actions import record
from mentor_training.planning.actions.coming import check_in
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, see_on
from tests.overview.test_my_path import next_box, words_of
from tests.planning.saturday import COORDINATES, OBSERVES, SATURDAY, ZONE, at, put, saturday, session
from tests.sign_in import Visitor

Visit = Callable[[str], Visitor]


@pytest.fixture
def floor(world: World) -> World:
    """Give the small Saturday, on its morning."""
    saturday(world)
    world.clock.moment = at("08:40")
    return world


def place_everybody(world: World) -> None:
    """Cover p-01 and p-02 in both blocks, and p-03, who takes two, in the first."""
    for block in (1, 2):
        put(world, block, "balance-lane", "v-001", role="lead")
        put(world, block, "balance-lane", "v-002", "p-01")
        put(world, block, "target-games", "v-006", "p-02")
    for mentor in ("v-003", "v-005"):
        put(world, 1, "balance-lane", mentor, "p-03")


def test_everything_that_the_coordinator_keeps_is_a_step_away(floor: World, visitor: Visit) -> None:
    """On a day when nothing is amiss too; an observer is not led to what is not open to them."""
    kept = (
        "/people",
        "/participants",
        "/papers/ending",
        "/observers",
        "/certificates/issuing",
        "/program/files",
        "/register",
    )
    coordinator, observer = visitor("c-01"), visitor("o-01").get("/today").text
    page = coordinator.get("/today").text
    for address in kept:
        assert f'href="{address}"' in page
        assert f'href="{address}"' not in observer
        assert coordinator.get(address).status_code == 200


def test_before_anybody_is_placed_the_plan_is_the_first_thing(floor: World, visitor: Visit) -> None:
    """One line says so, not one for each participant."""
    page = visitor("c-01").get("/today").text
    assert "Today, Sat 17 Oct 2026" in page
    assert "0 of 6 volunteers and 0 of 3 participants have come. Nobody is placed yet." in words_of(page)
    assert "Nobody is placed yet in Week 6, Saturday morning" in words_of(next_box(page))
    assert "Not covered in every block" not in page


def test_who_is_not_covered_is_named_with_the_reason(floor: World, visitor: Visit) -> None:
    """For the coordinator with why and the way to the floor; an observer sees the first names alone."""
    place_everybody(floor)
    page = visitor("c-01").get("/today").text
    assert "1 participant is not covered in every block." in words_of(page)
    assert "1 participant has too few mentors in some block" in words_of(next_box(page))
    assert 'href="/sessions/s-11#gaps"' in next_box(page)
    assert "Name03, block 2:" in words_of(page)
    seen = words_of(visitor("o-01").get("/today").text)
    assert "Name03. The coordinator sees why, and who could." in seen
    assert "Name03, block 2" not in seen


def test_who_came_is_counted_and_who_is_missing_is_named(floor: World, visitor: Visit) -> None:
    """Volunteers by name, participants by first name."""
    with floor.writing() as db:
        check_in(db, at("08:39"), OBSERVES, "s-11", "volunteer", "v-001", ZONE)
        check_in(db, at("08:39"), OBSERVES, "s-11", "participant", "p-02", ZONE)
    page = words_of(visitor("o-01").get("/today").text)
    assert "1 of 6 volunteers and 1 of 3 participants have come." in page
    assert "Not here yet: 5 volunteers, 2 participants" in page
    assert "Volunteers: Person v-002, Person v-003, Person v-004, Person v-005, Person v-006." in page
    assert "Participants: Name01, Name03." in page


def test_a_session_that_is_over_is_to_be_closed_and_asks_for_nothing_else(floor: World, visitor: Visit) -> None:
    """Nobody places a mentor in a block that is past; on later days too, until it is closed."""
    place_everybody(floor)
    with floor.writing() as db:
        check_in(db, at("08:41"), OBSERVES, "s-11", "volunteer", "v-002", ZONE)
    floor.clock.moment = at("11:16")
    page = visitor("c-01").get("/today").text
    assert "Close Week 6, Saturday morning, Sat 17 Oct 2026" in words_of(next_box(page))
    assert 'href="/sessions/s-11/close"' in next_box(page)
    assert "It is over and not closed yet." in words_of(page)
    assert "Not covered in every block" not in page
    assert "Not here yet" not in page
    assert "close" not in next_box(visitor("o-01").get("/today").text).lower()
    floor.clock.moment = at("08:00", SATURDAY + timedelta(days=2))
    coordinator = visitor("c-01")
    assert "1 session to be closed" in words_of(coordinator.get("/today").text)
    assert coordinator.send("/sessions/s-11/close", "/sessions/s-11/close").status_code == 303
    assert "to be closed" not in words_of(coordinator.get("/today").text)


def test_a_placement_that_no_longer_holds_comes_before_everything(floor: World, visitor: Visit) -> None:
    """Stood down after the plan was made: named, with why, and first on the page."""
    place_everybody(floor)
    with floor.writing() as db:
        record(db, floor.clock.now(), "c-01", "v-002", "stood-down", "", SATURDAY, note="Left somebody alone.")
    page = visitor("c-01").get("/today").text
    assert "2 placements of Week 6, Saturday morning no longer cleared: take them out" in words_of(next_box(page))
    assert 'href="/sessions/s-11#fallen"' in next_box(page)
    assert "Person v-002, block 1, Balance lane: stood down" in words_of(page)


def test_what_waits_is_shown_to_whom_it_concerns(floor: World, visitor: Visit) -> None:
    """Papers and reviews to the coordinator, sign-offs to observers, each with the way to do it."""
    visitor("v-004").send("/papers", "/papers", paper="background-check", issued="2026-09-01")
    add_observer(floor, "o-03")
    add_observer(floor, "o-04")
    see_on(floor, date(2026, 10, 14), "o-03", "v-003")
    see_on(floor, date(2026, 10, 15), "o-04", "v-003")
    see_on(floor, date(2026, 10, 15), "o-03", "v-005", "stopped done done done")
    coordinator = visitor("c-01").get("/today").text
    assert "1 paper to be verified Person v-004, Background check." in words_of(coordinator)
    assert "1 review open Person v-005, Guarding a balance task." in words_of(coordinator)
    for address in ("/papers/waiting", "/reviews", "/observe/v-003"):
        assert f'href="{address}"' in coordinator
    observer = visitor("o-01").get("/today").text
    assert "1 volunteer is ready for a sign-off Person v-003 (Guarding a balance task)." in words_of(observer)
    assert "to be verified" not in observer
    assert "review open" not in words_of(observer)


def test_what_lapses_before_the_next_session_is_named_with_where(floor: World, visitor: Visit) -> None:
    """A paper that ends on Monday, with a session on Tuesday; what lasts through Tuesday is left out."""
    with floor.writing() as db:
        store_session(db, floor.clock.now(), COORDINATES, session("s-12", date(2026, 10, 20)))
    floor.add_person("v-007")
    floor.add_person("v-008")
    for code, last in (("v-007", date(2026, 10, 19)), ("v-008", date(2026, 10, 20))):
        floor.hold(code, "module/safety")
        floor.hold(code, "paper/background-check", last_day=last)
    page = words_of(visitor("c-01").get("/today").text)
    assert "What lapses before Tue 20 Oct 2026" in page
    assert "Person v-007 Mon 19 Oct 2026 Background check Balance lane, Target games, Arrival desk" in page
    assert "Person v-008" not in page
    rows = list(csv.DictReader(io.StringIO(visitor("c-01").get("/today/lapses.csv").text)))
    assert [(row["person"], row["last_day"], row["what_ends"]) for row in rows] == [
        ("v-007", "2026-10-19", "Background check")
    ]


def test_a_stand_down_set_for_later_is_a_lapse_too(floor: World, visitor: Visit) -> None:
    """No item ends, and still the level does not last."""
    with floor.writing() as db:
        store_session(db, floor.clock.now(), COORDINATES, session("s-12", date(2026, 10, 20)))
        record(db, floor.clock.now(), "c-01", "v-003", "stood-down", "", date(2026, 10, 19), note="As agreed.")
    page = words_of(visitor("c-01").get("/today").text)
    assert "Person v-003 Sun 18 Oct 2026 A stand-down, a restriction or another edition begins" in page


def test_a_day_without_a_session_shows_the_next_one(floor: World, visitor: Visit) -> None:
    """On Friday: what is coming, and how far it is planned; nobody is missed before the day."""
    floor.clock.moment = at("12:00", FRIDAY)
    page = words_of(visitor("c-01").get("/today").text)
    assert "No session today; the next is on Sat 17 Oct 2026: Week 6, Saturday morning, 09:30 to 11:15." in page
    assert "6 volunteers and 3 participants are expected." in page
    assert "Not here yet" not in page


def test_an_observer_sees_their_own_sessions(floor: World, visitor: Visit) -> None:
    """Least is the rule: o-02 observes none."""
    page = words_of(visitor("o-02").get("/today").text)
    assert "No session lies ahead that you observe." in page
    assert "Name01" not in page


def test_a_card_overdue_for_review_is_named(floor: World, visitor: Visit) -> None:
    """It holds the participant's activity, so the coordinator sees it on the day."""
    floor.add_participant("p-09", review_by=date(2026, 10, 1))
    assert "1 card is overdue for review Name09." in words_of(visitor("c-01").get("/today").text)


@pytest.mark.parametrize("roles", ["volunteer", "course-instructor"])
def test_others_have_no_such_page(world: World, visitor: Visit, roles: str) -> None:
    """Who came and who is missing is not theirs to see."""
    world.add_person("x-01", roles)
    assert visitor("x-01").get("/today").status_code == 403
    assert visitor("x-01").get("/today/lapses.csv").status_code == 403
