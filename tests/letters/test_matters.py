"""What is gathered for whom: the same that each person's own pages say."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from mentor_training.letters.digests import Digest
from mentor_training.letters.queries.matters import digests_due
from mentor_training.letters.sending import midnight_of
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import CONSOLE
from tests.builders import FRIDAY, World
from tests.observing.floor import add_observer, see_on
from tests.small_program import QUIZ, SAFETY, small_files


def due_now(world: World) -> dict[str, Digest]:
    """Return the digests that are due, by person."""
    now, today = world.clock.now(), world.instance.today()
    with world.reading() as db:
        found = digests_due(db, today, now, world.instance.settings.zone, midnight_of(world.instance))
    return {one.person: one for one in found}


def texts(world: World, person: str) -> list[str]:
    found = due_now(world).get(person)
    return [one.text for one in found.matters] if found else []


@pytest.fixture
def floor(world: World) -> World:
    """Give a world with a volunteer and two observers who count."""
    world.add_person("v-001", name="Odalys Brannagh")
    add_observer(world, "o-01")
    add_observer(world, "o-02")
    return world


def test_sign_offs_are_counted_for_the_observers_who_may_sign_them(floor: World) -> None:
    """As on their own page: not for whom they have a conflict with; the volunteers are not named."""
    for observer, days in (("o-01", 4), ("o-02", 1)):
        see_on(floor, FRIDAY - timedelta(days=days), observer, "v-001")
    assert "1 sign-off waits for you." in texts(floor, "o-01")
    with floor.writing() as db:
        set_conflicts(db, floor.clock.now(), CONSOLE, "o-01", ("v-001",))
    assert not any("sign-off" in one for one in texts(floor, "o-01"))
    assert "1 sign-off waits for you." in texts(floor, "o-02")


def test_a_retake_is_said_with_its_last_day(world: World) -> None:
    """To whoever completed the edition before; not to who has yet to complete it for the first time."""
    world.add_person("v-001")
    world.add_person("v-002")
    world.hold("v-001", "module/safety")
    later = SAFETY.replace("edition: 1", "edition: 2\nmust_retake: true")
    quiz = QUIZ.replace("edition: 1", "edition: 2")
    world.publish(small_files() | {"modules/safety.md": later, "quizzes/safety.yaml": quiz}, date(2026, 10, 10), 2)
    assert texts(world, "v-001") == ["Go through the module Safety again, by Sat 24 Oct 2026."]
    assert texts(world, "v-002") == []
    world.clock.forward(days=10)
    assert texts(world, "v-001") == ["Go through the module Safety again, its time was over on Sat 24 Oct 2026."]


def test_before_an_edition_is_in_force_nothing_is_due(world: World) -> None:
    """There is no program yet to be reminded of."""
    world.add_person("v-001")
    world.clock.forward(days=-400)
    assert due_now(world) == {}
