"""Terms, sessions, their blocks, who is expected, who can come when, and the private addresses of calendars."""

from __future__ import annotations

from datetime import date, time

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, LongText, Moment, Words
from mentor_training.people.tables import Person


class ProgramSession(Base):
    """One meeting of the program on one day; times are in the program's time zone."""

    __tablename__ = "session"

    code: Mapped[Code] = mapped_column(primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    day: Mapped[date] = mapped_column(index=True)
    starts: Mapped[time]
    ends: Mapped[time]
    stations: Mapped[Words]
    recorded_at: Mapped[Moment]


class Block(Base):
    """A slot of a session in which each participant is at one station."""

    __tablename__ = "block"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    starts: Mapped[time]
    ends: Mapped[time]


class Expected(Base):
    """Somebody expected at a session; `kind` is participant, volunteer or observer."""

    __tablename__ = "expected"

    session: Mapped[Code] = mapped_column(ForeignKey(ProgramSession.code), primary_key=True)
    kind: Mapped[Code] = mapped_column(primary_key=True)
    code: Mapped[Code] = mapped_column(primary_key=True)


class Feed(Base):
    """A person's calendar at an address that cannot be guessed; only the hash of the secret in it is kept."""

    __tablename__ = "calendar_feed"

    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[Moment]


class Term(Base):
    """A term as somebody said it at some time; of each code the newest row is the term. Rows never change."""

    __tablename__ = "term"

    number: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[Code] = mapped_column(index=True)
    title: Mapped[str] = mapped_column(String(200))
    first_day: Mapped[date]
    last_day: Mapped[date]
    holidays: Mapped[Words]
    recorded_at: Mapped[Moment]
    recorded_by: Mapped[Code]


class Availability(Base):
    """What was said of when somebody can come; what was said last about a thing counts. Rows never change.

    `kind` is person or participant; `about` is term, day or session, and `which` its code or the day.
    """

    __tablename__ = "availability"

    number: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[Code]
    code: Mapped[Code]
    about: Mapped[Code]
    which: Mapped[Code]
    answer: Mapped[LongText]
    said_at: Mapped[Moment]
    said_by: Mapped[Code]

    __table_args__ = (Index("ix_availability_kind_code", "kind", "code"),)
