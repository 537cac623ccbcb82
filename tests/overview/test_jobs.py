"""The pages of background work: seen by who asked and by the coordinator, left and come back to."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mentor_training.application import create_app
from mentor_training.errors import Refused
from mentor_training.jobs.actions import beat, enqueue, take
from mentor_training.jobs.rules import MOST_ATTEMPTS
from mentor_training.jobs.work import Work
from mentor_training.overview.pages.jobs import set_kinds
from tests.builders import World
from tests.jobs.working import EIGHT, kind, seen, work_off
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]


def breaks_nothing(work: Work) -> None:
    """Count nothing."""


@pytest.fixture
def signs(world: World) -> Sign:
    """Serve an application that knows how to count, to a coordinator and two course instructors."""
    for code, role in (("c-01", "coordinator"), ("i-01", "course-instructor"), ("i-02", "course-instructor")):
        world.add_person(code, role)
    app = create_app(world.instance, testing=True)
    set_kinds(app, kind(breaks_nothing))
    return lambda code: Visitor(app.test_client()).sign_in(code)


def ask(world: World, by: str = "i-01", key: str = "count/all", what: str = "count") -> int:
    with world.writing() as db:
        return enqueue(db, world.clock.now(), by, what, {}, key).number


def test_a_job_is_seen_by_who_asked_and_by_the_coordinator_only(world: World, signs: Sign) -> None:
    """To all others there is none, to look at, to stop, or in the list."""
    number = ask(world)
    for code, status in (("i-01", 200), ("c-01", 200), ("i-02", 404)):
        who = signs(code)
        assert who.get(f"/jobs/{number}").status_code == status
        assert (f"/jobs/{number}" in who.get("/jobs").text) == (status == 200)
    own = ask(world, "i-02", "count/other")
    other = signs("i-02")
    page = other.get(f"/jobs/{own}").text.replace(f"/jobs/{own}/stop", f"/jobs/{number}/stop")
    assert other.fill(page, f"/jobs/{number}/stop").status_code == 404
    assert not seen(world, number).stop_wished


def test_one_that_runs_says_how_far_it_is_in_words_and_as_progress(world: World, signs: Sign) -> None:
    """With its steps, the newest marked, and how long it has been."""
    number = ask(world)
    with world.writing() as db:
        taken = take(db, EIGHT, "w", ["count"])
        assert taken is not None
        beat(db, EIGHT, taken.ticket, 47, 200, "0 s: reading\n2 s: counting")
    page = signs("i-01").get(f"/jobs/{number}").text
    assert "It has been running for" in page
    assert '<progress aria-label="How far it is" value="47" max="200">47 of 200</progress>' in page
    assert '<li aria-current="step">2 s: counting <strong>now</strong></li>' in page


def test_a_wish_to_stop_is_said_until_it_is_heard(world: World, signs: Sign) -> None:
    """The button is gone then; sent again it does no harm."""
    number = ask(world)
    with world.writing() as db:
        take(db, EIGHT, "w", ["count"])
    who = signs("i-01")
    assert who.send(f"/jobs/{number}", f"/jobs/{number}/stop").status_code == 303
    page = who.get(f"/jobs/{number}").text
    assert "It stops within seconds" in page
    assert f"/jobs/{number}/stop" not in page


def test_one_that_is_done_leads_on_and_waits_to_be_looked_at(world: World, signs: Sign) -> None:
    """Whoever waited is led on at once; whoever comes back sees the link."""
    number = ask(world)
    work_off(world, kind(breaks_nothing))
    who = signs("i-01")
    page = who.get(f"/jobs/{number}")
    assert "Refresh" not in page.headers
    assert "See what came of it" in page.text
    assert who.get(f"/jobs/{number}?then=on").location == "/jobs"


def test_one_that_was_refused_or_given_up_says_why(world: World, signs: Sign) -> None:
    """In words; with the way to ask again."""

    def refuses(work: Work) -> None:
        raise Refused("There is nothing to count.")

    refused = ask(world)
    work_off(world, kind(refuses))
    lost = ask(world, key="count/lost")
    with world.writing() as db:
        for attempt in range(MOST_ATTEMPTS + 1):
            take(db, EIGHT.replace(hour=9 + attempt), "dead", ["count"])
    who = signs("i-01")
    assert "There is nothing to count." in who.get(f"/jobs/{refused}?then=on").text
    assert "begun 3 times and never came to an end" in who.get(f"/jobs/{lost}").text


def test_a_kind_that_the_program_no_longer_knows_is_still_shown(world: World, signs: Sign) -> None:
    """It waits, and leads nowhere."""
    number = ask(world, what="knit", key="knit/scarf")
    assert "Background work: knit" in signs("i-01").get(f"/jobs/{number}").text
