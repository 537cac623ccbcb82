"""Observations with their marks, sign-offs, what an observer may do, and reviews."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, LongText, MaybeMoment, Moment, Slug, Words
from mentor_training.evidence.tables import Record
from mentor_training.people.tables import Person


class Observation(Base):
    """One observer's look at one skill of one volunteer on one day.

    What came from a phone's queue has `made_at`, as the phone's clock said, and `clock_seconds`: how far that clock was
    ahead when it was sent.
    """

    __tablename__ = "observation"

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(64), unique=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    skill: Mapped[Slug]
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    day: Mapped[date]
    station: Mapped[Slug]
    participant: Mapped[Code]
    live: Mapped[bool]
    program_edition: Mapped[int]
    result: Mapped[Code]
    not_counted: Mapped[str] = mapped_column(String(200), default="")
    remark: Mapped[LongText]
    recorded_at: Mapped[Moment]
    record: Mapped[str | None] = mapped_column(ForeignKey(Record.code))
    made_at: Mapped[MaybeMoment]
    clock_seconds: Mapped[int | None]

    __table_args__ = (Index("ix_observation_person_skill", "person", "skill"),)


class Mark(Base):
    """The mark on one criterion, by its place in the skill's list (from 1)."""

    __tablename__ = "mark"

    observation: Mapped[int] = mapped_column(ForeignKey(Observation.id), primary_key=True)
    criterion: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    mark: Mapped[Code]
    way: Mapped[str] = mapped_column(String(300), default="")


class SignOff(Base):
    """The statement that the skill is there, with the observations it rests on; the record carries its days."""

    __tablename__ = "sign_off"

    record: Mapped[Code] = mapped_column(ForeignKey(Record.code), primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    skill: Mapped[Slug]
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    observations: Mapped[Words]
    statement: Mapped[LongText]
    moment: Mapped[Moment]


class Standing(Base):
    """What an observer is, from a day to a day: `calibrated`, or `entitled` to a skill (`*`: to all)."""

    __tablename__ = "observer_standing"

    id: Mapped[int] = mapped_column(primary_key=True)
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    kind: Mapped[Code]
    skill: Mapped[Slug]
    first_day: Mapped[date]
    last_day: Mapped[date | None]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class Review(Base):
    """Opened for the coordinator: an observer stepped in, or a critical criterion was missed after a sign-off."""

    __tablename__ = "review"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    skill: Mapped[Slug]
    observation: Mapped[int] = mapped_column(ForeignKey(Observation.id))
    opened_at: Mapped[Moment]
    closed_at: Mapped[MaybeMoment]
    closed_by: Mapped[str] = mapped_column(String(80), default="")
    outcome: Mapped[LongText]
