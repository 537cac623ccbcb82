"""The hours log: entries, their approval, statements. Nothing is overwritten; an adjustment corrects an entry."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, MaybeMoment, Moment
from mentor_training.evidence.tables import Record
from mentor_training.people.tables import Person


class HoursEntry(Base):
    """Minutes of one category on one day. `source` is session, module or adjustment; an adjustment may be negative."""

    __tablename__ = "hours_entry"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    category: Mapped[Code]
    day: Mapped[date]
    minutes: Mapped[int]
    started_at: Mapped[MaybeMoment]
    ended_at: Mapped[MaybeMoment]
    source: Mapped[Code]
    about: Mapped[Code]
    flag: Mapped[str] = mapped_column(String(300), default="")
    reason: Mapped[str] = mapped_column(String(500), default="")
    corrects: Mapped[int | None] = mapped_column(ForeignKey("hours_entry.id"))
    entered_by: Mapped[Code]
    recorded_at: Mapped[Moment]

    __table_args__ = (Index("ix_hours_entry_person_day", "person", "day"),)


class HoursApproval(Base):
    """An entry was approved by the section's instructor, never by the volunteer; from here on it is evidence."""

    __tablename__ = "hours_approval"

    entry: Mapped[int] = mapped_column(ForeignKey(HoursEntry.id), primary_key=True)
    approved_by: Mapped[Code]
    moment: Mapped[Moment]
    record: Mapped[Code] = mapped_column(ForeignKey(Record.code))


class Statement(Base):
    """A numbered, frozen export of approved hours of a section; `body` is the CSV of its sums as it was made.

    `hash` is the SHA-256 of `body`, `lines_hash` that of the CSV of its lines; empty where none were kept yet. `called`
    (JSON) is what the program, its time zone and its people were called then, so that every print stays what it was.
    """

    __tablename__ = "statement"

    number: Mapped[Code] = mapped_column(primary_key=True)
    section: Mapped[Code]
    course: Mapped[Code]
    made_at: Mapped[Moment]
    made_by: Mapped[Code]
    through: Mapped[date]
    rule: Mapped[str] = mapped_column(String(300))
    body: Mapped[str] = mapped_column(Text)
    hash: Mapped[str] = mapped_column(String(64))
    journal_head: Mapped[str] = mapped_column(String(64))
    lines_hash: Mapped[str] = mapped_column(String(64), default="", server_default="")
    called: Mapped[str] = mapped_column(Text, default="", server_default="")


class StatementPiece(Base):
    """A part of the CSV of a statement's lines, as it was made: one after the other they are the file."""

    __tablename__ = "statement_piece"

    statement: Mapped[Code] = mapped_column(ForeignKey(Statement.number), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True)
    text: Mapped[str] = mapped_column(Text)


class StatementLine(Base):
    """An entry stands on one statement and on no other."""

    __tablename__ = "statement_line"

    entry: Mapped[int] = mapped_column(ForeignKey(HoursEntry.id), primary_key=True)
    statement: Mapped[Code] = mapped_column(ForeignKey(Statement.number), index=True)
