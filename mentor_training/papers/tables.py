"""Papers put on file, and the scans of them; only a verified one becomes evidence."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, MaybeMoment, Moment, Slug
from mentor_training.evidence.tables import Record
from mentor_training.people.tables import Person


class Scan(Base):
    """A picture or PDF that somebody sent of papers: what it is known by. The file itself lies in the scans' folder."""

    __tablename__ = "scan"

    number: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    name: Mapped[str] = mapped_column(String(32), unique=True)
    sha256: Mapped[str] = mapped_column(String(64))
    kind: Mapped[Code]
    size: Mapped[int]
    pages: Mapped[int]
    put_at: Mapped[Moment]
    put_by: Mapped[Code]


class ScanDeletion(Base):
    """That a scan is gone, since when, by whom, and why: decided, unverified or unused."""

    __tablename__ = "scan_deletion"

    scan: Mapped[int] = mapped_column(ForeignKey(Scan.number), primary_key=True, autoincrement=False)
    deleted_at: Mapped[Moment]
    deleted_by: Mapped[Code]
    because: Mapped[Code]


class PaperOnFile(Base):
    """A paper somebody put on file: its dates as its volunteer read them, the scan that shows it, and who verified it.

    `hands_on` is what whoever verified it answered, where the program asks; the dates that count are the record's.
    """

    __tablename__ = "paper_on_file"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    paper: Mapped[Slug]
    issued: Mapped[date]
    last_day: Mapped[date | None]
    put_at: Mapped[Moment]
    put_by: Mapped[Code]
    verified_at: Mapped[MaybeMoment]
    verified_by: Mapped[str] = mapped_column(String(80), default="")
    declined_at: Mapped[MaybeMoment]
    declined_because: Mapped[str] = mapped_column(String(500), default="")
    record: Mapped[str | None] = mapped_column(ForeignKey(Record.code))
    scan: Mapped[int | None] = mapped_column(ForeignKey(Scan.number), index=True)
    hands_on: Mapped[bool | None]
