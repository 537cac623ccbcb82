"""Observations with their marks, sign-offs, what an observer may do, incidents and reviews."""

from __future__ import annotations

from datetime import date, time

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.calendar.tables import ProgramSession
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

    @property
    def reason(self) -> str:
        """Return why it was given although an observation disagreed, as it stands below the statement."""
        return self.statement.partition("\n\n")[2]


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


class Strike(Base):
    """An observation was entered by mistake: kept and shown with the reason, and no longer counted."""

    __tablename__ = "observation_strike"

    observation: Mapped[int] = mapped_column(ForeignKey(Observation.id), primary_key=True, autoincrement=False)
    reason: Mapped[LongText]
    struck_at: Mapped[Moment]
    struck_by: Mapped[Code]


class Incident(Base):
    """What happened, where, when and who led: facts only. `involved` are volunteers; nobody else is named."""

    __tablename__ = "incident"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    session: Mapped[str | None] = mapped_column(ForeignKey(ProgramSession.code))
    day: Mapped[date]
    about: Mapped[time]
    block: Mapped[int | None]
    station: Mapped[Slug]
    led_by: Mapped[Code]
    involved: Mapped[Words]
    what: Mapped[LongText]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class IncidentAddition(Base):
    """What was added to an incident later, or put right in it."""

    __tablename__ = "incident_addition"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    incident: Mapped[int] = mapped_column(ForeignKey(Incident.number), index=True)
    what: Mapped[LongText]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class Review(Base):
    """Opened for the coordinator: an observer stepped in, a critical criterion was missed after a sign-off, or an
    incident asks for one. What is done about it stands in its steps.
    """

    __tablename__ = "review"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    skill: Mapped[Slug]
    observation: Mapped[int | None] = mapped_column(ForeignKey(Observation.id))
    incident: Mapped[int | None] = mapped_column(ForeignKey(Incident.number))
    opened_at: Mapped[Moment]

    __table_args__ = (CheckConstraint("(observation IS NULL) <> (incident IS NULL)", name="about_one"),)


class ReviewStep(Base):
    """One thing that was done about a review; which fields say something hangs on its kind."""

    __tablename__ = "review_step"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    review: Mapped[int] = mapped_column(ForeignKey(Review.id), index=True)
    kind: Mapped[Code]
    assignee: Mapped[Code]
    observation: Mapped[int | None] = mapped_column(ForeignKey(Observation.id))
    record: Mapped[str | None] = mapped_column(ForeignKey(Record.code))
    text: Mapped[LongText]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]
