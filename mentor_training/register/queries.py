"""Reading for the register: what its rows may name, what taking a file in would do, and all of it in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.csv_form import Problem, write_in_pieces
from mentor_training.evidence.facts import (
    COMPLETED,
    HOURS,
    MET,
    ON_FILE,
    PRACTICED,
    READ_CARD,
    RESTRICTED,
    SIGNED_OFF,
    STOOD_DOWN,
    WAIVED,
)
from mentor_training.evidence.queries import every_fact, facts_about, facts_named, last_number
from mentor_training.participants.queries import cards_known
from mentor_training.people.queries import people
from mentor_training.program.catalog import CATEGORIES, Program
from mentor_training.program.queries import known_editions
from mentor_training.program.requirements import Hours, Requirement, atoms_of
from mentor_training.register.form import COLUMNS, Known, read_register, written
from mentor_training.register.rules import Intake, names_used, people_of_nameless, sort_out


def look_at(db: Session, at: datetime, text: str) -> Intake:
    """Say what taking a file in would do, with everything that is wrong with it."""
    known = known_names(db, at)
    if known is None:
        right = "publish the program first, so that every row can be checked against it"
        return Intake((), 0, (Problem(1, "", "no edition of the program is published yet", right),), True)
    reading = read_register(text, known, at)
    is_empty = not last_number(db)
    stored = {} if is_empty else facts_named(db, names_used(reading))
    twins = () if is_empty else facts_about(db, people_of_nameless(reading))
    return sort_out(reading, stored, twins, is_empty)


def known_names(db: Session, at: datetime) -> Known | None:
    """Return the people, and every item that any known edition has or had; None before an edition is published."""
    programs = [edition.program for edition in known_editions(db, at)]
    if not programs:
        return None
    modules = frozenset(f"module/{slug}" for program in programs for slug in program.modules)
    skills = frozenset(f"skill/{slug}" for program in programs for slug in program.skills)
    papers = frozenset(f"paper/{slug}" for program in programs for slug in program.papers)
    scopes = frozenset(scope for program in programs for scope in _scopes(program)) | {""}
    items = {
        COMPLETED: modules,
        SIGNED_OFF: skills,
        MET: skills,
        PRACTICED: skills,
        ON_FILE: papers,
        WAIVED: modules | skills | papers,
        STOOD_DOWN: scopes,
        RESTRICTED: scopes,
        HOURS: frozenset(CATEGORIES).union(*(_categories(program) for program in programs)),
        READ_CARD: frozenset(f"card/{card.participant}@{card.version}" for card in cards_known(db, at)),
    }
    return Known(frozenset(person.code for person in people(db)), items)


def _scopes(program: Program) -> Iterator[str]:
    yield from program.stations
    yield from (f"activity/{tag}" for station in program.stations.values() for tag in station.activities)


def _categories(program: Program) -> set[str]:
    """Return the categories of hours that a program names anywhere."""
    named = {category for course in program.courses.values() for category in course.required_minutes}
    return named | {
        atom.category for one in _requirements(program) for atom in atoms_of(one) if isinstance(atom, Hours)
    }


def _requirements(program: Program) -> Iterable[Requirement]:
    yield program.entry
    yield from (kind.requires for kind in program.certificates.values())
    for station in program.stations.values():
        yield from station.ladder.rungs
    for need in program.needs.values():
        yield from need.ladder.rungs


def in_pieces(db: Session) -> Iterator[str]:
    """Yield the whole register as CSV (RFC 4180), in the order of its numbers, piece by piece."""
    return write_in_pieces(COLUMNS, map(written, every_fact(db)))
