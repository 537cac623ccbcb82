"""What was sent by mail, begun before it is sent, and how it ended; letters under their numbers. Nothing is changed."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, Moment
from mentor_training.people.tables import Person


class Mail(Base):
    """A mail to one person that was begun: from here on its matters count as told, unless an end says otherwise.

    `address_mark` tells one address from another without keeping it: a salted hash, the message's own name the salt.
    """

    __tablename__ = "mail"

    number: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    kind: Mapped[Code]
    message_id: Mapped[str] = mapped_column(String(200), unique=True)
    address_mark: Mapped[str] = mapped_column(String(64), server_default="")
    begun_at: Mapped[Moment]

    __table_args__ = (Index("ix_mail_person", "person"),)


class MailMatter(Base):
    """One thing that a mail tells its person, by the key that makes it the same thing."""

    __tablename__ = "mail_matter"

    mail: Mapped[int] = mapped_column(ForeignKey(Mail.number), primary_key=True)
    key: Mapped[str] = mapped_column(String(200), primary_key=True)


class MailEnd(Base):
    """How a mail ended: accepted, refused, not-reached or unknown, and the server's code, 0 where it said none.

    A mail without one was begun by a program that did not live to hear the answer.
    """

    __tablename__ = "mail_end"

    mail: Mapped[int] = mapped_column(ForeignKey(Mail.number), primary_key=True)
    outcome: Mapped[Code]
    code: Mapped[int]
    ended_at: Mapped[Moment]


class MailAgain(Base):
    """Somebody's wish that a person's address be tried again, whatever refused it through the mail `after`."""

    __tablename__ = "mail_again"

    number: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    after: Mapped[int]
    wished_at: Mapped[Moment]
    wished_by: Mapped[Code]

    __table_args__ = (Index("ix_mail_again_person", "person"),)


class WrittenLetter(Base):
    """A letter of hours as it was written on a day, under a number: `body` is all it says, frozen with its hash."""

    __tablename__ = "hours_letter"

    number: Mapped[Code] = mapped_column(primary_key=True)
    verification_code: Mapped[str] = mapped_column(String(40), unique=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code))
    day: Mapped[date]
    written_at: Mapped[Moment]
    written_by: Mapped[Code]
    body: Mapped[str] = mapped_column(Text)
    hash: Mapped[str] = mapped_column(String(64))
    journal_head: Mapped[str] = mapped_column(String(64))

    __table_args__ = (Index("ix_hours_letter_person", "person"),)
