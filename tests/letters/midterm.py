"""A section in the middle of its term: one on course, one who will miss the hours, one of another section."""

from __future__ import annotations

from datetime import date, time

from mentor_training.calendar.actions import store_session, store_term
from mentor_training.calendar.rules import SessionFact, equal_blocks
from mentor_training.calendar.terms import TermFact
from mentor_training.letters.notes import Note
from mentor_training.letters.queries.midterm import notes_of
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import person_for
from tests.builders import FRIDAY, NOON, World
from tests.hours.term import add_people, approved, serve

SECTION = "KIN-372-A"
STUDENTS = ["v-001", "v-002"]


def middle(world: World) -> World:
    """Fill a world: v-001 has hours, a module, a skill and a paper that ends; v-002 has nearly nothing."""
    add_people(world)
    with world.writing() as db:
        store_term(db, NOON, CONSOLE, TermFact("fall", "Fall 2026", date(2026, 8, 24), date(2026, 12, 11)))
        for code, day, volunteers in (
            ("s-03", date(2026, 10, 17), ("v-001", "v-002")),
            ("s-04", date(2026, 11, 21), ("v-001",)),
        ):
            store_session(db, NOON, CONSOLE, coming(code, day, volunteers))
    approved(world, "v-001", 90, 90)
    serve(world, "v-001", 60, date(2026, 10, 12))
    world.hold("v-001", "module/safety", "skill/guarding")
    world.hold("v-001", "paper/background-check", last_day=date(2026, 11, 1))
    return world


def coming(code: str, day: date, volunteers: tuple[str, ...]) -> SessionFact:
    blocks = equal_blocks(time(9, 30), time(11, 0), 3)
    return SessionFact(code, f"Morning {code}", day, time(9, 30), time(11), blocks, (), (), volunteers, ())


def notes(world: World, viewer: Actor = CONSOLE, *codes: str) -> tuple[Note, ...]:
    with world.reading() as db:
        rows = [person_for(db, code) for code in codes or STUDENTS]
        return notes_of(db, viewer, rows, FRIDAY, NOON, world.instance.settings.zone)
