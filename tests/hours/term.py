"""A term of hours for tests of pages, commands and prints: two sections, their instructors, a coordinator."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

from click.testing import CliRunner, Result

from mentor_training.hours.actions import adjust, approve, enter_session
from mentor_training.hours.commands import statements
from mentor_training.hours.exports import lines_csv
from mentor_training.hours.queries import statement_for
from mentor_training.hours.spreadsheet import statement_xlsx
from mentor_training.hours.stating import make_statement
from mentor_training.people.permissions import CONSOLE, Actor
from tests.builders import FRIDAY, NOON, World

TUESDAY = date(2026, 10, 13)
INSTRUCTOR = Actor("i-01", "Hadrian Mossop", frozenset({"course-instructor"}), ("KIN-372-A",))


def add_people(world: World) -> World:
    """Enroll three volunteers of section A, one of B, one of none, both instructors and the coordinator."""
    for code, name, sections in (
        ("v-001", "Odalys Brannagh", "KIN-372-A"),
        ("v-002", "Teodor Łęcki", "KIN-372-A"),
        ("v-020", "Maren Oduvane", "KIN-372-B"),
        ("v-040", "Quill Harrowmere", ""),
    ):
        world.add_person(code, name=name, sections=sections)
    world.add_person("i-01", "course-instructor", "Hadrian Mossop", "KIN-372-A")
    world.add_person("i-02", "course-instructor", "Ottoline Verrall", "KIN-372-B")
    world.add_person("c-01", "coordinator", "Wilhelmina Quarrie")
    return world


def serve(world: World, person: str, minutes: int, day: date = TUESDAY, flag: str = "", starts: str = "13:30") -> int:
    """Enter a session of so many minutes and return the entry's number; times are in UTC, 13:30 is 09:30 there."""
    came = datetime.fromisoformat(f"{day}T{starts}:00+00:00")
    with world.writing() as db:
        left = came + timedelta(minutes=minutes)
        return enter_session(db, NOON, "o-01", person, "s-10", day, came, left, flag).id


def approved(world: World, person: str, *minutes: int) -> None:
    """Enter sessions on days of their own and have the section's instructor approve them."""
    ids = [serve(world, person, one, date(2026, 9, 1) + timedelta(days=place)) for place, one in enumerate(minutes)]
    with world.writing() as db:
        approve(db, NOON, INSTRUCTOR, ids)


def stated(world: World, through: date = FRIDAY) -> str:
    """State section A and return the statement's number."""
    settings = world.instance.settings
    with world.writing() as db:
        return make_statement(db, NOON, INSTRUCTOR, "KIN-372-A", through, settings.zone, settings.title).number


def two_statements(world: World) -> World:
    """State two entries, correct one of them, and state the correction with a later entry."""
    add_people(world)
    approved(world, "v-001", 97, 60)
    stated(world)
    with world.writing() as db:
        adjust(db, NOON, INSTRUCTOR, 1, -15, "=Left early, said so.")
    approved(world, "v-002", 45)
    stated(world)
    return world


def sums_of(world: World, number: str) -> bytes:
    """Return a statement's CSV of sums."""
    with world.reading() as db:
        return statement_for(db, CONSOLE, number).body.encode()


def lines_of(world: World, number: str) -> bytes:
    """Return a statement's CSV of lines."""
    with world.reading() as db:
        return b"".join(lines_csv(db, number))


def book_of(world: World, number: str) -> bytes:
    """Return a statement's workbook."""
    with world.reading() as db:
        return statement_xlsx(db, statement_for(db, CONSOLE, number), world.instance.settings.zone)


def verify(world: World, folder: Path, name: str, content: bytes) -> Result:
    """Run `statements verify` on a file of this name and content."""
    (folder / name).write_bytes(content)
    return CliRunner().invoke(statements, ["verify", str(folder / name)], obj=world.instance)
