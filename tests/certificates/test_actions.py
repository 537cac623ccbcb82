"""Issuing and revoking, on a real database."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from mentor_training.certificates.actions import issue, revoke
from mentor_training.certificates.queries import candidates, issued_to, verify
from mentor_training.certificates.rules import Standing
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.actions import record
from mentor_training.journal.queries import entries, find_break, head
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import volunteers
from tests.builders import FRIDAY, NOON, World
from tests.certificates.holders import COORDINATOR, INSTRUCTOR, KIND, add_people, issued
from tests.small_program import CERTIFICATES, small_files


@pytest.fixture
def class_of(world: World) -> World:
    return add_people(world)


def test_a_certificate_freezes_what_it_says_and_what_it_rests_on(class_of: World) -> None:
    """Name, title, text, limits, day, edition, each item with the record that held it, and the journal's head."""
    with class_of.writing() as db:
        before = head(db)
        row = issue(db, NOON, INSTRUCTOR, "v-001", KIND, FRIDAY)
        assert (row.number, row.journal_head, row.program_edition, row.day) == ("C-2026-0001", before, 1, FRIDAY)
        assert row.content["name"] == "Odalys Brannagh"
        assert row.content["program"] == "Small program"
        assert "no license" in row.content["text"]
        assert "not a license" in row.content["limits"]
        assert row.content["rests_on"] == [
            {"what": "Safety", "how": "completed", "record": "r-0001", "since": "2026-09-01"},
            {"what": "Guarding a balance task", "how": "signed off", "record": "r-0002", "since": "2026-09-01"},
        ]
        told = entries(db, subject="C-2026-0001", kind="certificate-issued")[0].record
        assert "Odalys" not in told
        assert '"records":["r-0001","r-0002"]' in told
        assert find_break(db) is None


def test_a_waived_item_is_named_as_waived(class_of: World) -> None:
    """A waiver holds its item, and the certificate does not pass it off as shown."""
    files = small_files()
    files["program/certificates.toml"] = CERTIFICATES.replace('"module/safety"', '"paper/photo-choice"')
    class_of.publish(files, date(2026, 10, 1), 2)
    with class_of.writing() as db:
        record(db, NOON, "c-01", "v-001", "waived", "paper/photo-choice", FRIDAY, FRIDAY + timedelta(days=30), note="x")
        row = issue(db, NOON, INSTRUCTOR, "v-001", KIND, FRIDAY)
        assert row.content["rests_on"][0]["how"] == "waived, not shown"


def test_what_is_missing_refuses_and_is_named(class_of: World) -> None:
    """Nothing is stored, and the number is not used up."""
    with class_of.writing() as db:
        with pytest.raises(Refused, match=r"Missing: Guarding a balance task \(skill\)\."):
            issue(db, NOON, INSTRUCTOR, "v-002", KIND, FRIDAY)
        assert issued_to(db, ["v-002"]) == []
        assert issue(db, NOON, INSTRUCTOR, "v-001", KIND, FRIDAY).number == "C-2026-0001"


def test_a_lapsed_item_is_not_held_on_the_day(class_of: World) -> None:
    """The skill is good for 12 months from 1 September 2026."""
    with class_of.writing() as db, pytest.raises(Refused, match="Guarding"):
        issue(db, NOON, INSTRUCTOR, "v-001", KIND, date(2027, 9, 2))


def test_a_second_one_is_refused_until_the_first_is_revoked(class_of: World) -> None:
    """And the new one gets a number and a code of its own."""
    number, code = issued(class_of)
    with class_of.writing() as db:
        with pytest.raises(Refused, match=f"{number} of the same kind is valid already"):
            issue(db, NOON, INSTRUCTOR, "v-001", KIND, FRIDAY)
        revoke(db, NOON, INSTRUCTOR, number, "Issued with the wrong name.")
        second = issue(db, NOON, INSTRUCTOR, "v-001", KIND, FRIDAY)
        assert second.number == "C-2026-0002"
        assert second.verification_code != code
        assert [one.standing(FRIDAY) for one in issued_to(db, ["v-001"])] == [Standing.VALID, Standing.WITHDRAWN]


def test_revoking_needs_a_reason_and_happens_once(class_of: World) -> None:
    """The reason is kept with it, its hash in the journal; verification says withdrawn from then on."""
    number, code = issued(class_of)
    with class_of.writing() as db:
        assert verify(db, number, code, FRIDAY) is Standing.VALID
        with pytest.raises(Refused, match="Write the reason"):
            revoke(db, NOON, COORDINATOR, number, " ")
        revoke(db, NOON, COORDINATOR, number, "Shown by mistake.")
        assert verify(db, number, code, FRIDAY) is Standing.WITHDRAWN
        assert "mistake" not in entries(db, subject=number, kind="certificate-revoked")[0].record
        with pytest.raises(Refused, match="revoked already"):
            revoke(db, NOON, COORDINATOR, number, "Again.")


def test_only_those_who_could_issue_it_revoke_it(class_of: World) -> None:
    """Not the instructor of another section, not the holder."""
    number, _ = issued(class_of)
    other = Actor("i-02", "Ottoline", frozenset({"course-instructor"}), ("KIN-372-B",))
    with class_of.writing() as db:
        with pytest.raises(NotAllowed):
            revoke(db, NOON, other, number, "x")
        with pytest.raises(Refused, match="their own"):
            revoke(db, NOON, Actor("v-001", "Odalys", frozenset({"volunteer"})), number, "x")


def test_what_is_unknown_is_named_with_what_there_is(class_of: World) -> None:
    """A person, a kind, a number; staff have no certificates."""
    with class_of.writing() as db:
        with pytest.raises(NotFound, match=r"certificate 'balance'.*there are lane-mentor"):
            issue(db, NOON, COORDINATOR, "v-001", "balance", FRIDAY)
        with pytest.raises(NotFound, match="volunteer i-01"):
            issue(db, NOON, COORDINATOR, "i-01", KIND, FRIDAY)
        with pytest.raises(NotFound, match="certificate C-1"):
            revoke(db, NOON, COORDINATOR, "C-1", "x")


def test_candidates_are_everybody_with_what_they_lack(class_of: World) -> None:
    """Ready is who lacks nothing and has no valid one."""
    with class_of.reading() as db:
        found = candidates(db, volunteers(db), FRIDAY, NOON)
        assert [(one.person, one.ready, len(one.missing)) for one in found] == [("v-001", True, 0), ("v-002", False, 1)]
    number, _ = issued(class_of)
    with class_of.reading() as db:
        again = candidates(db, volunteers(db), FRIDAY, NOON)[0]
        assert (again.ready, again.valid) == (False, number)


@pytest.mark.parametrize("change", ["UPDATE certificate SET person = 'v-002'", "DELETE FROM certificate"])
def test_the_database_refuses_to_change_a_certificate(class_of: World, change: str) -> None:
    """Only a revocation stands beside it."""
    issued(class_of)
    with class_of.writing() as db:
        with pytest.raises(DBAPIError, match="append-only"):
            db.execute(text(change))
        db.rollback()
