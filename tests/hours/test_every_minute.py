"""Over random histories: no minute is lost and none is stated twice, whatever is done to it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime, timedelta

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from mentor_training.clearance.actions import withdraw
from mentor_training.errors import Refused
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import adjust, approve, enter_by_hand, enter_module, enter_session
from mentor_training.hours.frozen import lines_of
from mentor_training.hours.queries import entries_of, live_hours, logs_of, statements_of
from mentor_training.hours.rules import TAKEN_BACK, Entry
from mentor_training.hours.stated import sums_in
from mentor_training.hours.stating import make_statement
from mentor_training.journal.queries import entries
from mentor_training.people.actions import enroll
from mentor_training.people.permissions import CONSOLE, Actor
from mentor_training.people.queries import person_for
from mentor_training.people.roster import Row
from tests.builders import FRIDAY, NOON, World, make_world

SECTIONS = ("KIN-372-A", "KIN-372-B")
PEOPLE = ("v-001", "v-002")
# One for both sections, so that whoever moves between them is still approved by somebody.
INSTRUCTOR = Actor("i-01", "Hadrian", frozenset({"course-instructor"}), SECTIONS)
FIRST = date(2026, 9, 12)


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """Give a world with two students of a section, of which each history is taken back again."""
    made = make_world(tmp_path_factory.mktemp("minutes") / "instance")
    made.publish()
    for code in PEOPLE:
        made.add_person(code, sections=SECTIONS[0])
    yield made
    made.instance.database.close()


Step = tuple[str, int, int, int]
ACTS = (
    "serve", "serve", "long day", "by hand", "study", "adjust", "adjust", "approve", "approve all", "approve all",
    "void", "void", "withdraw", "move", "state", "state", "state",
)  # fmt: skip
STEPS = st.lists(
    st.tuples(st.sampled_from(ACTS), st.integers(0, 30), st.integers(-120, 240), st.integers(0, 1)),
    min_size=8,
    max_size=30,
)


def take(db: Session, world: World, step: Step) -> None:
    """Do one thing of a random history; what the rules refuse changes nothing."""
    act, place, minutes, who = step
    person, day = PEOPLE[who], FIRST + timedelta(days=place)
    log = entries_of(db, PEOPLE)
    if act in ("serve", "long day"):
        # A long day is over the cap of 240 minutes.
        serve(db, person, day, abs(minutes) + (300 if act == "long day" else 0))
    elif act == "by hand":
        came = datetime.fromisoformat(f"{day}T08:00:00+00:00")
        left = came + timedelta(minutes=abs(minutes))
        enter_by_hand(db, NOON, INSTRUCTOR, person, "preparation", day, came, left, "Set-up.")
    elif act == "study":
        enter_module(db, NOON, person, person, "safety", place, 20, day)
    elif act in ("void", "withdraw"):
        strike(db, person, place, day, act == "void")
    elif act == "move":
        move(db, person, (*SECTIONS, "")[place % 3])
    elif act == "state":
        make_statement(db, NOON, INSTRUCTOR, SECTIONS[who], FRIDAY if place % 2 else day, world.instance.settings.zone)
    elif act == "approve all":
        approve(db, NOON, INSTRUCTOR, [one.id for one in log])
    elif log:
        one = log[place % len(log)]
        adjust(db, NOON, INSTRUCTOR, one.id, minutes, "Corrected.") if act == "adjust" else approve(
            db, NOON, INSTRUCTOR, [one.id]
        )


def serve(db: Session, person: str, day: date, minutes: int) -> None:
    came = datetime.fromisoformat(f"{day}T13:30:00+00:00")
    enter_session(db, NOON, "o-01", person, "s-01", day, came, came + timedelta(minutes=minutes))


def strike(db: Session, person: str, place: int, day: date, is_void: bool) -> None:
    """Void or withdraw a record of somebody: approved hours, or an earlier void, which restores what it struck."""
    facts = facts_of(db, person, NOON)
    if facts:
        fact = facts[place % len(facts)]
        withdraw(db, NOON, CONSOLE, fact.code, max(day, fact.first_day), "Wrong.", is_void)


def move(db: Session, person: str, section: str) -> None:
    row = person_for(db, person)
    enroll(db, NOON, CONSOLE, Row(row.code, row.name, row.email, row.roles, (section,) if section else ()), False)


@given(STEPS)
@settings(max_examples=80, deadline=None)
def test_statements_and_open_entries_add_up_to_every_minute_of_any_history(world: World, steps: list[Step]) -> None:
    """Nothing is lost and nothing counts twice: for each student, the lines of all statements and the entries on none.

    Whatever is entered, corrected, approved, over a cap, struck, restored, moved to another section and stated, in
    whatever order; held to the minutes that the journal has. In the end the registrar has what evidence has.
    """
    with world.writing() as db:
        for step in steps:
            with suppress(Refused):
                take(db, world, step)
                event(step[0])
        for code in PEOPLE:
            hold(db, code)
        settle(db, world)
        db.rollback()


def hold(db: Session, person: str) -> None:
    """Hold one student's statements and log to the journal, and to one another."""
    log = entries_of(db, (person,))
    made = statements_of(db, SECTIONS)
    lines = [line for row in made for line in lines_of(db, row) if line.person == person]
    sums = sum(one.minutes for row in made for one in sums_in(row.body) if one.person == person)
    assert sum(line.minutes for line in lines) == sums
    assert sums + sum(one.minutes for one in log if not one.statement) == journaled(db, person)
    assert sorted(line.entry for line in lines) == sorted(one.id for one in log if one.statement)
    assert all(one.approved_by for one in log if one.statement)
    assert all(line.corrects_on or not line.corrects for line in lines)
    counts(db, person, log)


def settle(db: Session, world: World) -> None:
    """State all that is left, and hold what the registrar has by then to what counts as evidence.

    What is withdrawn from a day ahead on is taken back on a statement of that day.
    """
    for code in PEOPLE:
        move(db, code, SECTIONS[0])
    with suppress(Refused):
        make_statement(db, NOON, INSTRUCTOR, SECTIONS[0], FRIDAY, world.instance.settings.zone)
    for code in PEOPLE:
        sums = [one for row in statements_of(db, SECTIONS) for one in sums_in(row.body) if one.person == code]
        log = entries_of(db, (code,))
        ahead = sum(one.minutes for one in log if one.source == TAKEN_BACK and one.day > FRIDAY)
        evidence = live_hours(db, [code], FRIDAY + timedelta(days=60), NOON)
        assert sum(one.minutes for one in sums) + ahead == sum(int(one.note) for one in evidence)


def counts(db: Session, person: str, log: tuple[Entry, ...]) -> None:
    """Hold what counts toward the course to the log: what is approved, and nothing of it struck, restored but once."""
    approved = sum(one.minutes for one in log if one.approved_by and one.day <= FRIDAY)
    (mine,) = logs_of(db, [person_for(db, person)], FRIDAY, NOON)
    assert sum(one.approved for one in mine.sums) == approved


def journaled(db: Session, person: str) -> int:
    """Return the sum of the minutes that the journal has of somebody."""
    kinds = ("hours-entered", "hours-adjusted")
    return sum(json.loads(one.record)["minutes"] for one in entries(db, subject=person) if one.kind in kinds)
