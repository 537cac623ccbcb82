"""The plan of a session, who came, and the floor as it ran."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.calendar.tables import ProgramSession
from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Json, MaybeMoment, Moment, Slug
from mentor_training.people.tables import Person


class Placement(Base):
    """One volunteer in one block: mentor of a participant, or lead or on a duty (with no participant)."""

    __tablename__ = "placement"

    id: Mapped[int] = mapped_column(primary_key=True)
    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code))
    block: Mapped[int]
    station: Mapped[Slug]
    mentor: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    role: Mapped[Code]
    participant: Mapped[str | None] = mapped_column(String(80), ForeignKey("participant.code"))
    level: Mapped[int]
    placed_at: Mapped[Moment]
    placed_by: Mapped[Code]

    __table_args__ = (
        UniqueConstraint("session", "block", "mentor"),
        CheckConstraint("level >= 1", name="cleared"),
        CheckConstraint("(role = 'mentor') = (participant IS NOT NULL)", name="mentor_of_one"),
        Index("ix_placement_session_block", "session", "block"),
    )


class Handed(Base):
    """A participant's card was handed to a volunteer to read for a session, before the two can be paired there."""

    __tablename__ = "card_handed"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    participant: Mapped[Code] = mapped_column(ForeignKey("participant.code"), primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    handed_at: Mapped[Moment]
    handed_by: Mapped[Code]


class Attendance(Base):
    """Somebody came to a session; `kind` is participant or volunteer."""

    __tablename__ = "attendance"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    kind: Mapped[Code] = mapped_column(primary_key=True)
    code: Mapped[Code] = mapped_column(primary_key=True)
    came_at: Mapped[Moment]
    left_at: Mapped[MaybeMoment]
    checked_by: Mapped[Code]


class AttendanceCorrection(Base):
    """What was put right about somebody's coming after the day: from when to when they were there, or not at all."""

    __tablename__ = "attendance_correction"

    number: Mapped[int] = mapped_column(primary_key=True)
    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), index=True)
    kind: Mapped[Code]
    code: Mapped[Code]
    came_at: Mapped[MaybeMoment]
    left_at: Mapped[MaybeMoment]
    reason: Mapped[str] = mapped_column(Text)
    corrected_at: Mapped[Moment]
    corrected_by: Mapped[Code]

    __table_args__ = (CheckConstraint("(came_at IS NULL) = (left_at IS NULL)", name="both_or_neither"),)


class Shadow(Base):
    """Somebody who is present at a station in a block, counts for nothing and touches nobody."""

    __tablename__ = "shadow"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    block: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    station: Mapped[Slug]
    noted_at: Mapped[Moment]
    noted_by: Mapped[Code]


class StationClosing(Base):
    """A station was closed during a session, or opened again, from a block on; `kind` is closed or opened."""

    __tablename__ = "station_closing"

    number: Mapped[int] = mapped_column(primary_key=True)
    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), index=True)
    station: Mapped[Slug]
    kind: Mapped[Code]
    from_block: Mapped[int]
    reason: Mapped[Code]
    turned_at: Mapped[Moment]
    turned_by: Mapped[Code]

    __table_args__ = (CheckConstraint("kind IN ('closed', 'opened')", name="kind"),)


class Closing(Base):
    """A session was closed: the floor as it ran, with every clearance as it stood, frozen."""

    __tablename__ = "closing"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    closed_at: Mapped[Moment]
    closed_by: Mapped[Code]
    floor: Mapped[Json]
