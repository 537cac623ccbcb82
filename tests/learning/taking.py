"""Volunteers who take the small program's quiz in these tests: what they read, what they answer."""

from __future__ import annotations

import re
from datetime import date, datetime
from html import unescape

from sqlalchemy import select

from mentor_training.evidence.facts import Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.learning import actions
from mentor_training.learning.queries import sitting_for
from mentor_training.learning.rules.answers import Answer, Measured, Ordered, Picked, Walked
from mentor_training.learning.tables import Attempt
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import actor_of, person_for
from tests.builders import World

RIGHT: dict[str, Answer] = {
    "grey-and-sweating": Picked((1,)),
    "clean-hands": Picked((0, 1)),
    "in-order": Ordered(("shout", "send", "write")),
    "how-long": Measured("20", "s"),
    "door": Walked((0, 0)),
}
TWO_WRONG: dict[str, Answer] = RIGHT | {"grey-and-sweating": Picked((2,)), "how-long": Measured("2", "min")}
UNSAFE: dict[str, Answer] = RIGHT | {"grey-and-sweating": Picked((0,))}


def actor(world: World, code: str) -> Actor:
    """Return a person as somebody who acts."""
    with world.reading() as db:
        return actor_of(person_for(db, code))


def read_all(world: World, code: str) -> None:
    """Read both sections of the small program's module and acknowledge its caution."""
    who, zone = actor(world, code), world.instance.settings.zone
    with world.writing() as db:
        for section in ("opening", "hands", "exits"):
            actions.read_section(db, world.clock.now(), who, zone, "safety", section)
        actions.acknowledge_caution(db, world.clock.now(), who, zone, "safety", "call")


def begin(world: World, code: str, seed: int = 7) -> int:
    """Start an attempt and return its number."""
    with world.writing() as db:
        row = actions.start_attempt(
            db, world.clock.now(), actor(world, code), world.instance.settings.zone, "safety", seed
        )
        return row.id


def give(world: World, code: str, number: int, answers: dict[str, Answer]) -> None:
    """Answer the scenarios of an attempt."""
    who = actor(world, code)
    with world.writing() as db:
        for slug, answer in answers.items():
            actions.keep_answer(db, world.clock.now(), who, number, slug, answer)


def close(world: World, code: str, number: int) -> Attempt:
    """Close an attempt."""
    with world.writing() as db:
        return actions.close_attempt(db, world.clock.now(), actor(world, code), world.instance.settings.zone, number)


def take(world: World, code: str, answers: dict[str, Answer], seed: int = 7) -> Attempt:
    """Take the quiz from start to close."""
    number = begin(world, code, seed)
    give(world, code, number, answers)
    return close(world, code, number)


def talk(world: World, observer: str, person: str, note: str = "", day: date | None = None) -> None:
    """Record a conversation, held today unless said otherwise."""
    zone = world.instance.settings.zone
    with world.writing() as db:
        held_on = day or world.instance.today()
        actions.record_talk(db, world.clock.now(), actor(world, observer), zone, person, "safety", held_on, note)


def completed(world: World, code: str) -> list[Fact]:
    """Return a person's completions as evidence."""
    with world.reading() as db:
        return list(facts_of(db, code, world.clock.now(), ("completed",)))


def kept(world: World, code: str, number: int) -> dict[str, Answer]:
    """Return the answers kept in an attempt."""
    with world.reading() as db:
        return dict(sitting_for(db, actor(world, code), number).answers)


def attempts(world: World) -> list[tuple[str, datetime | None]]:
    """Return every attempt's person and the moment it was closed."""
    with world.reading() as db:
        return [(row.person, row.closed_at) for row in db.scalars(select(Attempt).order_by(Attempt.id))]


def words(page: str) -> str:
    """Return what a page says, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", page)).split())
