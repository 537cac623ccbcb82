"""Statements: what they take in, what they freeze, and that nothing is counted twice or lost."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.evidence.actions import record
from mentor_training.hours.actions import adjust, approve, enter_session
from mentor_training.hours.queries import entries_of, entries_on, statements_of
from mentor_training.hours.stated import sums_in
from mentor_training.hours.stating import make_statement
from mentor_training.hours.tables import Statement
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import entries, head
from mentor_training.people.permissions import CONSOLE, Actor
from tests.builders import FRIDAY, NOON, World

INSTRUCTOR = Actor("i-01", "Hadrian", frozenset({"course-instructor"}), ("KIN-372-A",))
FIRST = date(2026, 9, 12)


@pytest.fixture
def term(world: World) -> World:
    """Give a world with two volunteers of a section."""
    for code, name in (("v-001", "Odalys Brannagh"), ("v-002", '=HYPERLINK("x")')):
        world.add_person(code, sections="KIN-372-A", name=name)
    return world


def serve(db: Session, person: str, day: date, minutes: int) -> int:
    came = datetime.fromisoformat(f"{day}T13:30:00+00:00")
    return enter_session(db, NOON, "o-01", person, "s-01", day, came, came + timedelta(minutes=minutes)).id


def state(
    db: Session, world: World, through: date = FRIDAY, by: Actor = INSTRUCTOR, section: str = "KIN-372-A"
) -> Statement:
    return make_statement(db, NOON, by, section, through, world.instance.settings.zone)


def test_twelve_sessions_of_97_minutes_are_stated_as_19_50_hours(term: World) -> None:
    """1164 minutes, 19.40 h, rounded once; number, rule, hash and the journal's head stand with it."""
    with term.writing() as db:
        approve(db, NOON, INSTRUCTOR, [serve(db, "v-001", FIRST + timedelta(days=n), 97) for n in range(12)])
        before = head(db)
        row = state(db, term)
        assert (row.number, row.section, row.course, row.through) == ("ST-2026-0001", "KIN-372-A", "KIN-372", FRIDAY)
        cells = list(csv.reader(io.StringIO(row.body, newline="")))
        assert cells[1][4:11] == ["v-001", "Odalys Brannagh", "direct", "12", "1164", "19.40", "19.50"]
        assert (row.hash, row.journal_head) == (digest(row.body), before)
        assert "quarter of an hour, half up" in row.rule
        assert row.hash in entries(db, subject="ST-2026-0001", kind="statement")[0].record


def test_a_statement_takes_in_nothing_twice_and_nothing_of_later_days(term: World) -> None:
    """The next one takes the rest, and a correction of what is stated already."""
    with term.writing() as db:
        early, late = serve(db, "v-001", FIRST, 60), serve(db, "v-001", FRIDAY, 60)
        approve(db, NOON, INSTRUCTOR, [early, late])
        state(db, term, FIRST)
        adjust(db, NOON, INSTRUCTOR, early, -15, "Left early.")
        second = state(db, term)
        assert [one.minutes for one in entries_on(db, second.number)] == [-15, 60]
        assert [one.minutes for one in sums_in(second.body)] == [45]
        with pytest.raises(Refused, match="nothing to state"):
            state(db, term)
        assert [row.number for row in statements_of(db, ["KIN-372-A"])] == ["ST-2026-0002", "ST-2026-0001"]


def test_hours_that_no_longer_count_are_not_stated_through_an_earlier_day(term: World) -> None:
    """A statement of today through a day on which they still counted would give out what was taken back since."""
    with term.writing() as db:
        days = {FIRST: 60, FIRST + timedelta(days=1): 45}
        approve(db, NOON, INSTRUCTOR, [serve(db, "v-001", day, minutes) for day, minutes in days.items()])
        later = FIRST + timedelta(days=3)
        code = entries_of(db, ("v-001",))[0].record
        record(db, NOON, "c-01", "v-001", "withdrawn", "direct", later, refers_to=code, note="Never came.")
        row = state(db, term, FIRST + timedelta(days=2))
        assert [one.minutes for one in sums_in(row.body)] == [45]


def test_what_waits_for_approval_is_left_out_and_said(term: World) -> None:
    """Unapproved entries are on no statement; with nothing else there is none."""
    with term.writing() as db:
        serve(db, "v-001", FIRST, 60)
        with pytest.raises(Refused, match="1 entry waits for approval"):
            state(db, term)
        approve(db, NOON, INSTRUCTOR, [serve(db, "v-002", FIRST, 60)])
        row = state(db, term)
        assert [one.person for one in sums_in(row.body)] == ["v-002"]
        assert '"still_waiting":1' in entries(db, kind="statement")[0].record


@pytest.mark.parametrize(
    ("section", "through", "by", "said"),
    [
        ("KIN-999", FRIDAY, CONSOLE, "No course has a section KIN-999; there are KIN-372-A, KIN-372-B"),
        ("KIN-372-A", FRIDAY + timedelta(days=1), CONSOLE, "still ahead"),
        ("KIN-372-A", date(2026, 7, 1), CONSOLE, "No edition"),
    ],
)
def test_a_statement_needs_a_known_section_and_a_day_that_has_come(
    term: World, section: str, through: date, by: Actor, said: str
) -> None:
    """Each refusal says what would be right."""
    with term.writing() as db, pytest.raises(Refused, match=said):
        state(db, term, through, by, section)


def test_a_section_of_somebody_else_is_not_stated(term: World) -> None:
    """Sections are guarded by the actor's own."""
    with term.writing() as db, pytest.raises(NotAllowed):
        state(db, term, section="KIN-372-B")


def test_a_name_that_looks_like_a_formula_is_safe_in_the_file_and_whole_in_print(term: World) -> None:
    """OWASP, CSV Injection: a quote mark in front in the CSV; what people read is the name itself."""
    with term.writing() as db:
        approve(db, NOON, INSTRUCTOR, [serve(db, "v-002", FIRST, 60)])
        row = state(db, term)
        assert '''"'=HYPERLINK(""x"")"''' in row.body
        assert sums_in(row.body)[0].name == '=HYPERLINK("x")'


@pytest.mark.parametrize(
    "change", ["UPDATE statement SET body = 'x'", "DELETE FROM statement_line", "DELETE FROM statement"]
)
def test_the_database_refuses_to_change_a_statement(term: World, change: str) -> None:
    """Neither its text nor what stands on it."""
    with term.writing() as db:
        approve(db, NOON, INSTRUCTOR, [serve(db, "v-001", FIRST, 60)])
        state(db, term)
    with term.writing() as db:
        with pytest.raises(DBAPIError, match="append-only"):
            db.execute(text(change))
        db.rollback()
