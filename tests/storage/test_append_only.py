"""What must never be rewritten is refused by the database itself, whoever asks: triggers on both databases."""

from __future__ import annotations

from datetime import date, time

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import Availability, ProgramSession, Term
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.evidence.tables import Record
from mentor_training.hours.tables import HoursEntry, Statement, StatementLine, StatementPiece
from mentor_training.journal.tables import JournalEntry
from mentor_training.learning.tables import PassMarkJudge, PassMarkSetting
from mentor_training.letters.tables import Mail, MailAgain, MailEnd, MailMatter, WrittenLetter
from mentor_training.observing.tables import (
    Calibration,
    CalibrationClosing,
    CalibrationKey,
    CalibrationKeyMark,
    CalibrationMark,
    CalibrationPerformance,
    CalibrationRetirement,
    CalibrationScore,
    Incident,
    IncidentAddition,
    Observation,
    Review,
    ReviewStep,
    Strike,
)
from mentor_training.papers.tables import Scan, ScanDeletion
from mentor_training.people.tables import DigestChoice
from mentor_training.planning.tables import AttendanceCorrection, Closing, StationClosing
from tests.builders import FRIDAY, NOON, World

# Each table with a column that somebody might want to touch up afterwards.
APPEND_ONLY = {
    "journal_entry": "who",
    "record": "note",
    "edition": "published_by",
    "edition_file": "text",
    "statement": "body",
    "statement_line": "statement",
    "statement_piece": "text",
    "certificate": "person",
    "revocation": "reason",
    "closing": "floor",
    "attendance_correction": "reason",
    "pass_mark_setting": "day",
    "pass_mark_judge": "percents",
    "observation_strike": "reason",
    "incident": "what",
    "incident_addition": "what",
    "review": "person",
    "review_step": "text",
    "calibration": "title",
    "calibration_performance": "played",
    "calibration_key": "agreed_by",
    "calibration_key_mark": "accepted",
    "calibration_score": "observer",
    "calibration_mark": "mark",
    "calibration_closing": "closed_at",
    "calibration_retirement": "reason",
    "scan": "sha256",
    "scan_deletion": "because",
    "station_closing": "reason",
    "term": "title",
    "availability": "answer",
    "digest_choice": "wanted",
    "mail": "person",
    "mail_matter": "key",
    "mail_end": "outcome",
    "mail_again": "after",
    "hours_letter": "body",
}

RECORDED = {"holidays": (), "recorded_at": NOON, "recorded_by": "c-01"}
SCAN = {"sha256": "0" * 64, "kind": "image/jpeg", "size": 1, "pages": 1}


def fill(world: World) -> None:
    """Put a row into every table that only grows."""
    world.add_person("v-001")
    world.hold("v-001", "module/safety")
    session = {"code": "s-01", "title": "Saturday", "day": FRIDAY, "starts": time(9), "ends": time(11)}
    entry = {"person": "v-001", "category": "direct", "day": FRIDAY, "minutes": 90, "source": "session"}
    statement = {"section": "KIN-372-A", "course": "KIN-372", "through": FRIDAY, "rule": "none", "body": "a"}
    with world.writing() as db:
        db.add(ProgramSession(**session, stations=(), recorded_at=NOON))
        db.add(HoursEntry(id=1, **entry, about="s-01", entered_by="c-01", recorded_at=NOON))
        db.add(
            Statement(number="st-1", **statement, made_at=NOON, made_by="i-01", hash="0" * 64, journal_head="0" * 64)
        )
        db.flush()
        db.add(StatementLine(entry=1, statement="st-1"))
        db.add(StatementPiece(statement="st-1", place=0, text="a"))
        db.add(certificate())
        db.add(Closing(session="s-01", closed_at=NOON, closed_by="c-01", floor={}))
        wrong = {"session": "s-01", "kind": "volunteer", "code": "v-001", "came_at": None, "left_at": None}
        db.add(AttendanceCorrection(number=1, **wrong, reason="A slip.", corrected_at=NOON, corrected_by="c-01"))
        setting = {"quiz": "safety", "module_edition": 1, "program_edition": 1, "items": ("door",), "day": FRIDAY}
        db.add(PassMarkSetting(number=1, **setting, recorded_at=NOON, recorded_by="c-01"))
        db.flush()
        db.add(PassMarkJudge(setting=1, place=1, name="A parent", percents=[80]))
        fill_observing(db)
        fill_calibration(db)
        db.add(Term(number=1, code="fall", title="Fall", first_day=FRIDAY, last_day=FRIDAY, **RECORDED))
        said = {"kind": "person", "code": "v-001", "about": "session", "which": "s-01", "answer": "cannot"}
        db.add(Availability(number=1, **said, said_at=NOON, said_by="v-001"))
        db.add(Scan(number=1, person="v-001", name="0" * 32, **SCAN, put_at=NOON, put_by="v-001"))
        db.flush()
        db.add(ScanDeletion(scan=1, deleted_at=NOON, deleted_by="c-01", because="decided"))
        db.add(Revocation(certificate="ct-1", moment=NOON, revoked_by="c-01", reason="Issued to the wrong person."))


def fill_observing(db: Session) -> None:
    told = {"recorded_at": NOON, "recorded_by": "c-01"}
    turned = {"session": "s-01", "station": "pool", "kind": "closed", "from_block": 1, "reason": "place"}
    db.add(StationClosing(number=1, **turned, turned_at=NOON, turned_by="c-01"))
    where = {"session": "s-01", "day": FRIDAY, "about": time(10), "block": 1, "station": "", "led_by": "v-001"}
    seen = {"key": "k", "person": "v-001", "skill": "guarding", "observer": "v-001", "day": FRIDAY, "station": ""}
    came_to = {"participant": "", "live": True, "program_edition": 1, "result": "not-yet", "recorded_at": NOON}
    db.add(Observation(id=1, **seen, **came_to))
    db.add(Incident(number=1, **where, involved=("v-001",), what="A strap tore.", **told))
    db.flush()
    db.add(IncidentAddition(number=1, incident=1, what="The left one.", **told))
    db.add(Strike(observation=1, reason="A slip.", struck_at=NOON, struck_by="c-01"))
    db.add(Review(id=1, person="v-001", skill="", incident=1, opened_at=NOON))
    db.flush()
    db.add(ReviewStep(number=1, review=1, kind="closed", assignee="", text="Talked through.", **told))


def fill_mail(db: Session) -> None:
    db.add(DigestChoice(number=1, person="v-001", wanted=False, said_at=NOON))
    db.add(Mail(number=1, person="v-001", kind="digest", message_id="<1@marrowdale.example>", begun_at=NOON))
    db.flush()
    db.add(MailMatter(mail=1, key="session/s-01"))
    db.add(MailEnd(mail=1, outcome="accepted", code=250, ended_at=NOON))
    letter = {"verification_code": "L" * 16, "day": FRIDAY, "body": "{}", "hash": "0" * 64, "journal_head": "0" * 64}
    db.add(WrittenLetter(number="L-2026-0001", person="v-001", written_at=NOON, written_by="c-01", **letter))
    db.add(MailAgain(number=1, person="v-001", after=1, wished_at=NOON, wished_by="c-01"))


def fill_calibration(db: Session) -> None:
    told = {"recorded_at": NOON, "recorded_by": "c-01"}
    of = {"calibration": 1, "place": 1}
    db.add(Calibration(number=1, title="Spring", day=FRIDAY, program_edition=1, **told))
    db.flush()
    db.add(CalibrationPerformance(**of, title="One", skill="guarding", played="As it should be.", source="Clip 1"))
    db.flush()
    db.add(CalibrationKey(number=1, **of, agreed_by=("i-01", "c-01"), **told))
    db.add(CalibrationScore(number=1, **of, observer="v-001", recorded_at=NOON))
    db.add(CalibrationClosing(calibration=1, observer="v-001", closed_at=NOON))
    db.add(CalibrationRetirement(calibration=1, reason="A slip in the key.", retired_at=NOON, retired_by="c-01"))
    db.flush()
    db.add(CalibrationKeyMark(key=1, criterion=1, accepted=("done", "another-way")))
    db.add(CalibrationMark(score=1, criterion=1, mark="done"))
    fill_mail(db)


def certificate() -> Certificate:
    return Certificate(
        number="ct-1", verification_code="x", person="v-001", kind="lane-mentor", program_edition=1,
        day=date(2026, 10, 16), issued_at=NOON, issued_by="c-01", content={}, journal_head="0" * 64,
    )  # fmt: skip


def content(world: World, table: str) -> list[tuple[object, ...]]:
    with world.reading() as db:
        return [tuple(row) for row in db.execute(text(f"SELECT * FROM {table} ORDER BY 1, 2"))]  # noqa: S608


def refused(world: World, statement: str) -> None:
    """Run a statement that the database must refuse with its reason."""
    with pytest.raises(DBAPIError, match="is append-only: correct it by another entry"), world.writing() as db:
        db.execute(text(statement))


def test_every_table_that_only_grows_refuses_to_be_rewritten(stored: World) -> None:
    """UPDATE and DELETE, of one row and of all, and on PostgreSQL TRUNCATE; afterwards everything is as it was."""
    fill(stored)
    before = {table: content(stored, table) for table in APPEND_ONLY}
    assert all(before.values())
    for table, column in APPEND_ONLY.items():
        refused(stored, f"UPDATE {table} SET {column} = {column}")  # noqa: S608
        refused(stored, f"DELETE FROM {table}")  # noqa: S608
        if stored.instance.database.engine.dialect.name == "postgresql":
            refused(stored, f"TRUNCATE {table} CASCADE")
    assert {table: content(stored, table) for table in APPEND_ONLY} == before


def test_the_programs_own_objects_cannot_rewrite_either(stored: World) -> None:
    """Changing an attribute of a loaded row, or deleting it, fails when it is sent."""
    fill(stored)
    with pytest.raises(DBAPIError, match="append-only"), stored.writing() as db:
        db.scalars(select(Record)).one().note = "It was never so."
    with pytest.raises(DBAPIError, match="append-only"), stored.writing() as db:
        db.delete(db.scalars(select(JournalEntry).where(JournalEntry.number == 1)).one())


def test_a_row_cannot_be_replaced_by_another_of_the_same_key(stored: World) -> None:
    """SQLite's REPLACE deletes without a word; PostgreSQL's ON CONFLICT DO UPDATE is an update."""
    fill(stored)
    before = content(stored, "journal_entry")
    columns = "number, moment, who, kind, subject, record, previous, hash"
    again = f"SELECT {columns.replace('who', chr(39) + 'v-001' + chr(39), 1)} FROM journal_entry WHERE number = 1"  # noqa: S608
    if stored.instance.database.engine.dialect.name == "sqlite":
        refused(stored, f"REPLACE INTO journal_entry ({columns}) {again}")
    else:
        upsert = f"INSERT INTO journal_entry ({columns}) {again} ON CONFLICT (number) DO UPDATE SET who = 'v-001'"
        refused(stored, upsert)
    assert content(stored, "journal_entry") == before


def test_new_rows_still_come_in(stored: World) -> None:
    """A guard that let nothing in would be easy to write."""
    fill(stored)
    stored.hold("v-001", "paper/background-check")
    assert len(content(stored, "record")) == 2
