"""Published editions: the files as they were, never changed."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Moment


class Edition(Base):
    """One published edition of the program."""

    __tablename__ = "edition"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    hash: Mapped[str] = mapped_column(String(64))
    effective: Mapped[date]
    published_at: Mapped[Moment]
    published_by: Mapped[Code]
    from_start: Mapped[bool] = mapped_column(default=False)


class EditionFile(Base):
    """One file of an edition, by the path people know it by."""

    __tablename__ = "edition_file"

    edition: Mapped[int] = mapped_column(ForeignKey(Edition.number), primary_key=True)
    path: Mapped[str] = mapped_column(String(400), primary_key=True)
    text: Mapped[str] = mapped_column(Text)
