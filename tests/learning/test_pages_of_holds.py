"""Waiting, being held and talking it over, through HTTP."""

from __future__ import annotations

from collections.abc import Callable

from tests.builders import World
from tests.learning.taking import (
    TWO_WRONG,
    take,
    words,
)
from tests.sign_in import Visitor

Sign = Callable[[str], Visitor]


def test_after_a_failed_attempt_the_page_says_from_when_the_next_can_start(world: World, visitor: Sign) -> None:
    """In the program's own time; and a form of before is refused."""
    world.add_person("v-001")
    reader = visitor("v-001")
    before = reader.get("/quiz/safety").text
    take(world, "v-001", TWO_WRONG)
    page = words(reader.get("/quiz/safety").text)
    assert "The next attempt can start on Sat 17 Oct 2026, 00:00." in page
    assert "Not yet" in page
    stale = reader.fill(before, "/quiz/safety")
    assert stale.status_code == 422
    assert "12 hours apart" in stale.text
    world.clock.forward(hours=12)
    assert "You can start now." in words(reader.get("/quiz/safety").text)


def test_three_failed_attempts_hold_and_a_recorded_talk_releases(world: World, visitor: Sign) -> None:
    """The volunteer sees why and what to do; the observer finds them in the list and records; then it goes on."""
    world.add_person("v-001", name="Odalys Brannagh")
    world.add_person("o-01", "observer")
    for _ in range(3):
        take(world, "v-001", TWO_WRONG)
        world.clock.forward(hours=13)
    reader, observer = visitor("v-001"), visitor("o-01")
    held = words(reader.get("/quiz/safety").text)
    assert "Held until an observer has talked with you" in held
    assert "3 attempts were not passed." in held
    assert "wait for a conversation" in words(reader.get("/learn").text)
    assert "1 conversation to be held" in words(observer.get("/learn").text)
    waiting = observer.get("/talks").text
    assert "Odalys Brannagh: Safety" in waiting
    page = "/talks/v-001/safety"
    done = observer.send(page, page, note="Talked it through.")
    assert done.location == "/talks"
    assert "Nobody waits for a conversation" in observer.get("/talks").text
    assert "You can start now." in words(reader.get("/quiz/safety").text)


def test_a_talk_on_a_day_that_cannot_be_is_refused_and_what_was_typed_stays(world: World, visitor: Sign) -> None:
    """The day is before the hold began, or none at all; the note is still in its field."""
    world.add_person("v-001")
    world.add_person("o-01", "observer")
    for _ in range(3):
        take(world, "v-001", TWO_WRONG)
        world.clock.forward(hours=13)
    page = "/talks/v-001/safety"
    for day in ("2026-10-01", "", "2027-01-01"):
        answer = visitor("o-01").send(page, page, day=day, note="Talked it through.")
        assert answer.status_code == 422
        assert "Talked it through.</textarea>" in answer.text
        assert 'id="day-wrong"' in answer.text


def test_a_volunteer_cannot_open_the_pages_of_conversations(world: World, visitor: Sign) -> None:
    """They are for observers."""
    world.add_person("v-001")
    assert visitor("v-001").get("/talks").status_code == 403
    assert visitor("v-001").get("/talks/v-001/safety").status_code == 403
