"""Papers put on file; only a verified one becomes evidence."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, MaybeMoment, Moment, Slug
from mentor_training.evidence.tables import Record
from mentor_training.people.tables import Person


class PaperOnFile(Base):
    """A paper somebody put on file: its dates as printed, and who verified it."""

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
