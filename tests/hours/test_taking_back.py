"""Minutes whose record was voided or withdrawn after their approval are taken back, wherever they stand already."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from sqlalchemy.orm import Session

from mentor_training.clearance.actions import withdraw
from mentor_training.errors import Refused
from mentor_training.hours.actions import adjust
from mentor_training.hours.queries import entries_of, entries_on, log_for, statements_of
from mentor_training.hours.rules import TAKEN_BACK, Entry, rests_on
from mentor_training.hours.stated import sums_in
from mentor_training.hours.taking_back import take_back
from mentor_training.journal.queries import entries as journal
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import person_for
from mentor_training.register.actions import import_register
from tests.builders import FRIDAY, NOON, World
from tests.hours.term import INSTRUCTOR, TUESDAY, add_people, approved, serve, stated
from tests.sign_in import Visitor

SECTION = "KIN-372-A"


@pytest.fixture
def term(world: World) -> World:
    return add_people(world)


def log(db: Session) -> tuple[Entry, ...]:
    return entries_of(db, ("v-001",))


def void(db: Session, record: str, day: date = TUESDAY, is_void: bool = True) -> str:
    return withdraw(db, NOON, CONSOLE, record, day, "It was somebody else.", is_void).code


def sum_stated(db: Session) -> int:
    return sum(one.minutes for row in statements_of(db, [SECTION]) for one in sums_in(row.body))


@pytest.mark.parametrize("is_void", [True, False], ids=["voided", "withdrawn"])
def test_what_is_struck_after_it_was_stated_is_taken_back_on_the_next_statement(term: World, is_void: bool) -> None:
    """By a correction that names the entry and rests on the record that struck it."""
    approved(term, "v-001", 60, 45)
    stated(term)
    with term.writing() as db:
        first = log(db)[0]
        code = void(db, first.record, TUESDAY, is_void)
        made = next(one for one in log(db) if one.source == TAKEN_BACK)
        assert (made.source, made.corrects, made.minutes, made.record) == (TAKEN_BACK, first.id, -60, code)
        assert made.reason == "It was somebody else."
        assert '"corrects":1' in journal(db, kind="hours-adjusted")[0].record
        assert log_for(db, person_for(db, "v-001"), FRIDAY, NOON).sum_of("direct").approved == 45
    number = stated(term)
    with term.reading() as db:
        assert [one.minutes for one in entries_on(db, number)] == [-60]
        assert sum_stated(db) == 45


def test_what_was_never_stated_is_stated_neither_with_nor_without_what_takes_it_back(term: World) -> None:
    """It is out of the way, and nothing of it reaches the registrar."""
    approved(term, "v-001", 60, 45)
    with term.writing() as db:
        void(db, log(db)[0].record)
    number = stated(term)
    with term.reading() as db:
        assert [one.minutes for one in entries_on(db, number)] == [45]


def test_what_is_restored_is_given_back(term: World) -> None:
    """A void that is voided itself gives the minutes back, on the statement after; the reasons stand with both."""
    approved(term, "v-001", 60)
    stated(term)
    with term.writing() as db:
        code = void(db, log(db)[0].record)
    stated(term)
    with term.writing() as db:
        void(db, code)
        assert [one.minutes for one in log(db)] == [60, -60, 60]
        assert log_for(db, person_for(db, "v-001"), FRIDAY, NOON).sum_of("direct").approved == 60
    stated(term)
    with term.reading() as db:
        assert sum_stated(db) == 60


def test_what_is_given_back_beside_another_entry_stands_side_by_side_with_it(
    term: World, visitor: Callable[[str], Visitor]
) -> None:
    """On the page on which either is corrected; the other one waits as unusual."""
    approved(term, "v-001", 60)
    with term.writing() as db:
        code = void(db, log(db)[0].record)
    again = serve(term, "v-001", 45, date(2026, 9, 1))
    teacher = visitor("i-01")
    assert "The same time twice" not in teacher.get(f"/hours/entries/{again}/adjust").text
    with term.writing() as db:
        void(db, code)
    page = teacher.get(f"/hours/entries/{again}/adjust").text
    assert "The same time twice" in page
    assert 'href="/hours/entries/1/adjust">correct entry 1' in page
    assert "at the same time as entry 1, 45 min" in teacher.get("/hours/sections/KIN-372-A").text


def test_a_correction_that_is_struck_is_taken_back_by_itself(term: World) -> None:
    """The entry that it corrected stands; an adjustment afterwards reckons with what is left."""
    approved(term, "v-001", 60)
    with term.writing() as db:
        more = adjust(db, NOON, INSTRUCTOR, 1, 15, "Stayed longer.")
        void(db, next(one for one in log(db) if one.id == more.id).record)
        assert rests_on(log(db)) == {1: 1, 2: 1, 3: 1}
        with pytest.raises(Refused, match="stands at 60 minutes"):
            adjust(db, NOON, INSTRUCTOR, 1, -61, "Left early.")
        with pytest.raises(Refused, match="adjust entry 1, which it corrects"):
            adjust(db, NOON, INSTRUCTOR, 3, -5, "Left early.")


def test_the_page_of_the_log_says_what_was_taken_back(term: World, visitor: Callable[[str], Visitor]) -> None:
    """With the entry it is about."""
    approved(term, "v-001", 60)
    with term.writing() as db:
        void(db, log(db)[0].record)
    page = visitor("v-001").get("/hours").text
    assert "Taken back from entry 1, whose record was corrected" in page


def test_a_void_that_comes_with_the_register_takes_back_too(term: World) -> None:
    """Whatever way a record is struck."""
    approved(term, "v-001", 60)
    stated(term)
    with term.writing() as db:
        record = log(db)[0].record
        row = f"b-01,v-001,voided,direct,2026-10-13,,,c-01,{record},Somebody else's\n"
        head = "record,person,kind,item,first_day,last_day,recorded_at,recorded_by,refers_to,note\n"
        intake = import_register(db, NOON, CONSOLE, head + row)
        assert not intake.problems
        assert [one.minutes for one in log(db)] == [60, -60]
        assert take_back(db, NOON, "c-01", "v-001") == []
