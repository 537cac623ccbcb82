"""Participants, what is known of them in functional words, and their cards; dated, never overwritten."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, LongText, Moment, Words


class Participant(Base):
    """A person the program serves: a code and the first name they use, nothing else."""

    __tablename__ = "participant"

    code: Mapped[Code] = mapped_column(primary_key=True)
    first_name: Mapped[str] = mapped_column(String(100))


class Profile(Base):
    """Needs, keep-apart list and wishes of a participant from a day on; the newest that has begun counts."""

    __tablename__ = "participant_profile"

    id: Mapped[int] = mapped_column(primary_key=True)
    participant: Mapped[Code] = mapped_column(ForeignKey(Participant.code), index=True)
    adaptation_level: Mapped[int]
    needs: Mapped[Words]
    keep_apart: Mapped[Words]
    wishes: Mapped[Words]
    first_day: Mapped[date | None]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]
    from_start: Mapped[bool] = mapped_column(default=False)


class Card(Base):
    """What a mentor must do for one participant, in functional words; each version stays."""

    __tablename__ = "card"

    id: Mapped[int] = mapped_column(primary_key=True)
    participant: Mapped[Code] = mapped_column(ForeignKey(Participant.code), index=True)
    version: Mapped[int]
    first_day: Mapped[date]
    review_by: Mapped[date]
    text: Mapped[LongText]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]
    from_start: Mapped[bool] = mapped_column(default=False)

    __table_args__ = (UniqueConstraint("participant", "version"),)
