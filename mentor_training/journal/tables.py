"""The journal's table; triggers of both databases refuse to update or delete its rows."""

from __future__ import annotations

from sqlalchemy import Text
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Moment


class JournalEntry(Base):
    """One decision: who, when, what about whom, and the hash that ties it to the one before."""

    __tablename__ = "journal_entry"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    moment: Mapped[Moment]
    who: Mapped[Code]
    kind: Mapped[Code] = mapped_column(index=True)
    subject: Mapped[Code] = mapped_column(index=True)
    record: Mapped[str] = mapped_column(Text)
    previous: Mapped[Code]
    hash: Mapped[Code]
