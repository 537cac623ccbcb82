"""Certificates issued and revoked; neither row is ever changed."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Json, Moment, Slug
from mentor_training.people.tables import Person


class Certificate(Base):
    """A numbered statement that a volunteer met a certificate's requirement on a day."""

    __tablename__ = "certificate"

    number: Mapped[Code] = mapped_column(primary_key=True)
    verification_code: Mapped[str] = mapped_column(String(40), unique=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    kind: Mapped[Slug]
    program_edition: Mapped[int]
    day: Mapped[date]
    issued_at: Mapped[Moment]
    issued_by: Mapped[Code]
    content: Mapped[Json]
    journal_head: Mapped[str] = mapped_column(String(64))


class Revocation(Base):
    """A certificate was revoked, for a reason."""

    __tablename__ = "revocation"

    certificate: Mapped[Code] = mapped_column(ForeignKey(Certificate.number), primary_key=True)
    moment: Mapped[Moment]
    revoked_by: Mapped[Code]
    reason: Mapped[str] = mapped_column(String(500))
