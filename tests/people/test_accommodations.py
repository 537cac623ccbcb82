"""Extra time: kept by the coordinator, used by the rules, seen by nobody else."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import select

from mentor_training.journal.tables import JournalEntry
from mentor_training.learning.rules.holds import Tried, time_to_resume
from tests.builders import NOON, World
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]
ADDRESS = "/people/v-001/accommodation"


@pytest.fixture
def term(world: World) -> World:
    """Give a volunteer, and one person of each other role."""
    for code, role in (("c-01", "coordinator"), ("i-01", "course-instructor"), ("o-01", "observer")):
        world.add_person(code, role, sections="KIN-372-A")
    world.add_person("v-001", sections="KIN-372-A")
    return world


def test_extra_time_lengthens_the_time_in_which_an_attempt_is_taken_up_again() -> None:
    """By so many percent of the hours that everybody has."""
    assert time_to_resume() == timedelta(hours=24)
    assert time_to_resume(50) == timedelta(hours=36)
    until = Tried(NOON, extra_time_percent=50).resumes_until
    assert until == NOON + timedelta(hours=36)
    assert Tried(NOON, extra_time_percent=50).is_open(until - timedelta(seconds=1))
    assert not Tried(NOON, extra_time_percent=50).is_open(until)


def test_the_coordinator_keeps_it_and_the_volunteer_has_it(term: World, visitor: Sign) -> None:
    """The quiz's page says how long; an attempt begun a day and a half ago less a minute is still open."""
    assert "for 24 hours" in visitor("v-001").get("/quiz/safety").text
    sent = visitor("c-01").send(ADDRESS, ADDRESS, percent="50")
    assert sent.status_code == 303
    one = visitor("v-001")
    assert "for 36 hours" in one.get("/quiz/safety").text
    started = one.send("/quiz/safety", "/quiz/safety")
    assert started.status_code == 303
    term.clock.forward(hours=35)
    assert "An attempt is open" in one.get("/quiz/safety").text
    term.clock.forward(hours=2)
    assert "An attempt is open" not in one.get("/quiz/safety").text


@pytest.mark.parametrize("typed", ["", "-1", "301", "half"])
def test_what_is_no_extra_time_is_said_beside_the_field(term: World, visitor: Sign, typed: str) -> None:
    """And nothing is stored."""
    sent = visitor("c-01").send(ADDRESS, ADDRESS, percent=typed)
    assert sent.status_code == 422
    assert re.search(r"whole number|valid integer", sent.text)
    assert "No extra time." in visitor("c-01").get(ADDRESS).text


def test_nobody_else_sees_it_or_sets_it(term: World, visitor: Sign) -> None:
    """Not an instructor, an observer or the volunteer's own page of others; and the journal holds no figure."""
    visitor("c-01").send(ADDRESS, ADDRESS, percent="50")
    for code in ("i-01", "o-01", "v-001"):
        assert visitor(code).get(ADDRESS).status_code == 403
    with term.reading() as db:
        (entry,) = db.scalars(select(JournalEntry).where(JournalEntry.kind == "accommodation"))
        assert (entry.subject, entry.who) == ("v-001", "c-01")
        assert "50" not in entry.record
