"""What was read, quiz attempts with their answers, and what judges said of the items."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Json, LongText, MaybeMoment, Moment, Slug, Words
from mentor_training.learning.rules.pass_mark import LONGEST_NAME
from mentor_training.people.tables import Person


class SectionRead(Base):
    """One section of a module's edition was read to its end."""

    __tablename__ = "section_read"

    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    module: Mapped[Slug] = mapped_column(primary_key=True)
    edition: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    section: Mapped[Slug] = mapped_column(primary_key=True)
    moment: Mapped[Moment]


class CautionAcknowledged(Base):
    """One caution of a module's edition was acknowledged by name."""

    __tablename__ = "caution_acknowledged"

    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    module: Mapped[Slug] = mapped_column(primary_key=True)
    edition: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    caution: Mapped[Slug] = mapped_column(primary_key=True)
    moment: Mapped[Moment]


class Attempt(Base):
    """One attempt at a quiz: which scenarios were served in which order, by which seed, and how it ended."""

    __tablename__ = "attempt"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    quiz: Mapped[Slug]
    module: Mapped[Slug]
    module_edition: Mapped[int]
    program_edition: Mapped[int]
    seed: Mapped[int]
    scenarios: Mapped[Words]
    started_at: Mapped[Moment]
    closed_at: Mapped[MaybeMoment]
    score: Mapped[float | None]
    passed: Mapped[bool | None]
    unsafe: Mapped[Words]

    __table_args__ = (Index("ix_attempt_person_quiz", "person", "quiz"),)


class Answer(Base):
    """The answer to one scenario of an attempt, kept as it is given; changeable until the attempt is closed."""

    __tablename__ = "answer"

    id: Mapped[int] = mapped_column(primary_key=True)
    attempt: Mapped[int] = mapped_column(ForeignKey(Attempt.id))
    scenario: Mapped[Slug]
    answer: Mapped[Json]
    moment: Mapped[Moment]
    score: Mapped[float | None]
    unsafe: Mapped[bool] = mapped_column(default=False)

    __table_args__ = (UniqueConstraint("attempt", "scenario"),)


class Talk(Base):
    """A conversation an observer recorded, which releases the hold on further attempts."""

    __tablename__ = "talk"

    id: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    quiz: Mapped[Slug]
    held_by: Mapped[Code]
    day: Mapped[date]
    moment: Mapped[Moment]
    note: Mapped[LongText]


class PassMarkSetting(Base):
    """Judges once said, of each item of a quiz, how many just-ready mentors would get it right; never changed."""

    __tablename__ = "pass_mark_setting"

    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    quiz: Mapped[Slug] = mapped_column(index=True)
    module_edition: Mapped[int]
    program_edition: Mapped[int]
    items: Mapped[Words]
    day: Mapped[date]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class PassMarkJudge(Base):
    """One judge of a setting, with a whole percent for each of its items in their order; never changed."""

    __tablename__ = "pass_mark_judge"

    setting: Mapped[int] = mapped_column(ForeignKey(PassMarkSetting.number), primary_key=True, autoincrement=False)
    place: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(String(LONGEST_NAME))
    percents: Mapped[Json]
