"""The one table of evidence; triggers of both databases refuse to update or delete its rows."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Moment
from mentor_training.people.tables import Person


class Record(Base):
    """One record about one volunteer: what it says, the days it is about, and when it was recorded."""

    __tablename__ = "record"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    code: Mapped[Code] = mapped_column(unique=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    kind: Mapped[Code] = mapped_column(index=True)
    item: Mapped[Code] = mapped_column(index=True)
    first_day: Mapped[date]
    last_day: Mapped[date | None]
    recorded_at: Mapped[Moment] = mapped_column(index=True)
    recorded_by: Mapped[Code]
    refers_to: Mapped[str | None] = mapped_column(ForeignKey("record.code"))
    note: Mapped[str] = mapped_column(Text, default="")
