"""Sessions as a calendar: the file, and each person's own at a private address."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from icalendar import Calendar
from werkzeug.test import Client

from mentor_training.application import create_app
from mentor_training.people.queries import person_for
from tests.builders import World
from tests.planning.saturday import PARTICIPANTS, put, session
from tests.planning.test_sessions import save
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
PAGE = "/sessions/calendar"


def made(person: Visitor) -> str:
    """Make a private address, and return its path."""
    answer = person.send(PAGE, PAGE)
    assert answer.status_code == 200
    found = re.search(r"http://127\.0\.0\.1:8765(/calendar/[A-Za-z0-9_-]{43}\.ics)", answer.text)
    assert found, answer.text
    return found[1]


def stranger(world: World) -> Client:
    """Return a program that is not signed in."""
    return create_app(world.instance, testing=True).test_client()


def titles(text: str) -> list[str]:
    return [str(event["SUMMARY"]) for event in Calendar.from_ical(text).events]


def test_a_feed_shows_ones_own_sessions_to_a_program_that_is_not_signed_in(floor: World, visitor: Sign) -> None:
    """Those where one is expected, whichever way; the one of somebody else is not in it."""
    save(floor, replace(session("s-12", date(2026, 10, 24)), title="Week 7", volunteers=("v-002",), observers=()))
    of_volunteer, of_observer = made(visitor("v-001")), made(visitor("o-01"))
    answer = stranger(floor).get(of_volunteer)
    assert (answer.status_code, answer.mimetype) == (200, "text/calendar")
    assert titles(answer.text) == ["Week 6, Saturday morning"]
    assert "URL:http://127.0.0.1:8765/pairing" in answer.text
    assert titles(stranger(floor).get(of_observer).text) == ["Week 6, Saturday morning"]
    assert titles(stranger(floor).get(made(visitor("c-01"))).text) == ["Week 6, Saturday morning", "Week 7"]


def test_a_feed_names_no_participant_and_nothing_of_them(floor: World, visitor: Sign) -> None:
    """Not on the day either, when the pairing itself is open: no name, no code, no need, no station, no volunteer."""
    put(floor, 2, "balance-lane", "v-002", "p-01")
    text = stranger(floor).get(made(visitor("v-002"))).text
    told = [*PARTICIPANTS, "Name01", "Name02", "fall", "balance", "Person", "v-0"]
    assert [one for one in told if one in text] == []


def test_a_feed_may_be_kept_by_its_own_reader_only_and_is_asked_for_anew(floor: World, visitor: Sign) -> None:
    """RFC 9111: private, and not used again without asking; unchanged, it is not sent again (RFC 9110 section 13)."""
    path, program = made(visitor("v-001")), stranger(floor)
    first = program.get(path)
    assert first.headers["Cache-Control"] == "private, no-cache"
    assert "Set-Cookie" not in first.headers
    again = program.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    floor.clock.forward(minutes=5)
    save(floor, replace(session(), title="Moved indoors"))
    assert titles(program.get(path, headers={"If-None-Match": first.headers["ETag"]}).text) == ["Moved indoors"]


def test_a_new_address_ends_the_old_one_and_ending_ends_it(floor: World, visitor: Sign) -> None:
    """An address that opens nothing says no more than that."""
    person, program = visitor("v-001"), stranger(floor)
    old, new = made(person), made(person)
    assert [program.get(path).status_code for path in (old, new)] == [404, 200]
    assert "v-001" not in program.get(old).text
    assert person.send(PAGE, f"{PAGE}/end").status_code == 303
    assert program.get(new).status_code == 404
    assert "Make a private address" in person.get(PAGE).text


def test_an_address_is_shown_once(floor: World, visitor: Sign) -> None:
    """The page that is opened later says since when there is one, and not which."""
    person = visitor("v-001")
    path = made(person)
    later = person.get(PAGE).text
    assert path not in later
    assert "Make a new address" in later


def test_a_feed_closes_with_the_role(floor: World, visitor: Sign) -> None:
    """Who may no longer see sessions is told that there is nothing."""
    path = made(visitor("v-001"))
    with floor.writing() as db:
        person_for(db, "v-001").roles = ()
    assert stranger(floor).get(path).status_code == 404


def test_a_feed_goes_back_half_a_year_and_the_file_to_the_beginning(floor: World, visitor: Sign) -> None:
    """The coordinator's file has all sessions, a volunteer's their own."""
    for code, day, who in (("s-01", date(2026, 1, 10), "v-001"), ("s-02", date(2026, 6, 6), "v-002")):
        save(floor, replace(session(code, day), title=code, volunteers=(who,)))
    coordinator, volunteer = visitor("c-01"), visitor("v-001")
    assert titles(stranger(floor).get(made(coordinator)).text) == ["s-02", "Week 6, Saturday morning"]
    assert titles(coordinator.get("/sessions.ics").text) == ["s-01", "s-02", "Week 6, Saturday morning"]
    own = volunteer.get("/sessions.ics")
    assert titles(own.text) == ["s-01", "Week 6, Saturday morning"]
    assert own.headers["Cache-Control"] == "no-store"


def test_the_list_leads_to_the_calendar(floor: World, visitor: Sign) -> None:
    """For a volunteer and for the coordinator."""
    assert all(f'href="{PAGE}"' in visitor(code).get("/sessions").text for code in ("v-001", "o-01", "c-01"))
