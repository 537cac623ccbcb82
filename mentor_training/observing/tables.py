"""Observations with their marks, sign-offs, calibrations, what an observer may do, incidents and reviews."""

from __future__ import annotations

from datetime import date, time

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index, String
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


class Calibration(Base):
    """A staged set that observers score against an agreed key, from a day on, by the criteria of one edition."""

    __tablename__ = "calibration"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    title: Mapped[str] = mapped_column(String(200))
    day: Mapped[date]
    program_edition: Mapped[int]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class CalibrationPerformance(Base):
    """One performance of a set: what is played, and where the clip lies or who plays it; no video is stored."""

    __tablename__ = "calibration_performance"

    calibration: Mapped[int] = mapped_column(ForeignKey(Calibration.number), primary_key=True, autoincrement=False)
    place: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    title: Mapped[str] = mapped_column(String(300))
    skill: Mapped[Slug]
    played: Mapped[str] = mapped_column(String(300))
    source: Mapped[str] = mapped_column(String(300))


def _performance() -> ForeignKeyConstraint:
    return ForeignKeyConstraint(
        ["calibration", "place"], [CalibrationPerformance.calibration, CalibrationPerformance.place]
    )


class CalibrationKey(Base):
    """The key of one performance as two people agreed it; of several the newest stands, none comes after a score."""

    __tablename__ = "calibration_key"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    calibration: Mapped[int]
    place: Mapped[int]
    agreed_by: Mapped[Words]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]

    __table_args__ = (_performance(),)


class CalibrationKeyMark(Base):
    """What is right for one criterion, by its place in the skill's list (from 1): a mark, or either of two."""

    __tablename__ = "calibration_key_mark"

    key: Mapped[int] = mapped_column(ForeignKey(CalibrationKey.number), primary_key=True, autoincrement=False)
    criterion: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    accepted: Mapped[Words]


class CalibrationScore(Base):
    """One observer's marks on one performance; of several the newest stands, and none comes after the closing."""

    __tablename__ = "calibration_score"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    calibration: Mapped[int]
    place: Mapped[int]
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    recorded_at: Mapped[Moment]

    __table_args__ = (_performance(), Index("ix_calibration_score_calibration_observer", "calibration", "observer"))


class CalibrationMark(Base):
    """The mark an observer gave on one criterion of a performance; `way` says which other way."""

    __tablename__ = "calibration_mark"

    score: Mapped[int] = mapped_column(ForeignKey(CalibrationScore.number), primary_key=True, autoincrement=False)
    criterion: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    mark: Mapped[Code]
    way: Mapped[str] = mapped_column(String(300), default="")


class CalibrationClosing(Base):
    """An observer has closed a set: their scores are final, and they see where they differ from the key."""

    __tablename__ = "calibration_closing"

    calibration: Mapped[int] = mapped_column(ForeignKey(Calibration.number), primary_key=True, autoincrement=False)
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    closed_at: Mapped[Moment]


class CalibrationRetirement(Base):
    """A set is no longer scored, such as for a wrong key, and why; what was scored stays, and what rests on it too."""

    __tablename__ = "calibration_retirement"

    calibration: Mapped[int] = mapped_column(ForeignKey(Calibration.number), primary_key=True, autoincrement=False)
    reason: Mapped[LongText]
    retired_at: Mapped[Moment]
    retired_by: Mapped[Code]


class Standing(Base):
    """What an observer is, from a day to a day: `calibrated`, or `entitled` to a skill (`*`: to all).

    `calibration` is the set on whose result it rests, where it rests on one; `reason` why they are calibrated without.
    """

    __tablename__ = "observer_standing"

    id: Mapped[int] = mapped_column(primary_key=True)
    observer: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    kind: Mapped[Code]
    skill: Mapped[Slug]
    first_day: Mapped[date]
    last_day: Mapped[date | None]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]
    calibration: Mapped[int | None] = mapped_column(ForeignKey(Calibration.number))
    reason: Mapped[LongText] = mapped_column(default="", server_default="")


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
