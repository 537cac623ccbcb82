"""People who hold what a certificate asks for, for tests of certificates."""

from __future__ import annotations

from mentor_training.certificates.actions import issue
from mentor_training.evidence.actions import record
from mentor_training.people.permissions import CONSOLE, Actor
from tests.builders import FRIDAY, NOON, World

INSTRUCTOR = Actor("i-01", "Hadrian Mossop", frozenset({"course-instructor"}), ("KIN-372-A",))
COORDINATOR = Actor("c-01", "Wilhelmina Quarrie", frozenset({"coordinator"}))
KIND = "lane-mentor"


def add_people(world: World) -> World:
    """Enroll two volunteers of section A, of whom the first holds all that the certificate asks for, and staff."""
    world.add_person("v-001", name="Odalys Brannagh", sections="KIN-372-A")
    world.add_person("v-002", name="Teodor Łęcki", sections="KIN-372-A")
    world.add_person("i-01", "course-instructor", "Hadrian Mossop", "KIN-372-A")
    world.add_person("i-02", "course-instructor", "Ottoline Verrall", "KIN-372-B")
    world.add_person("c-01", "coordinator", "Wilhelmina Quarrie")
    world.hold("v-001", "module/safety", "skill/guarding")
    world.hold("v-002", "module/safety")
    return world


def issued(world: World, by: Actor = CONSOLE) -> tuple[str, str]:
    """Issue the certificate to the first volunteer and return its number and code."""
    with world.writing() as db:
        row = issue(db, NOON, by, "v-001", KIND, FRIDAY)
        return row.number, row.verification_code


def void(world: World, code: str) -> None:
    """Void one of the first volunteer's records."""
    with world.writing() as db:
        record(db, NOON, "c-01", "v-001", "voided", "", FRIDAY, refers_to=code, note="Signed off on somebody else.")
