"""Accounts and what guards them."""

from __future__ import annotations

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from mentor_training.database.base import Base
from mentor_training.database.column_types import Code, MaybeMoment, Moment, Words


class Person(Base):
    """Somebody with an account: volunteer, observer, course instructor or coordinator, or several of these."""

    __tablename__ = "person"

    code: Mapped[Code] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    email: Mapped[str] = mapped_column(String(254), unique=True)
    roles: Mapped[Words]
    sections: Mapped[Words]
    conflicts: Mapped[Words]
    extra_time_percent: Mapped[int] = mapped_column(default=0)
    password_hash: Mapped[str | None] = mapped_column(String(200))
    invitation_hash: Mapped[str | None] = mapped_column(String(64), index=True)
    invitation_until: Mapped[MaybeMoment]
    recorded_at: Mapped[Moment]
    from_start: Mapped[bool] = mapped_column(default=False)


class DigestChoice(Base):
    """What somebody said of digests by mail: wanted or not. The last one counts; who said nothing gets them."""

    __tablename__ = "digest_choice"

    number: Mapped[int] = mapped_column(primary_key=True)
    person: Mapped[Code] = mapped_column(ForeignKey(Person.code), index=True)
    wanted: Mapped[bool]
    said_at: Mapped[Moment]


class SignInTry(Base):
    """One try to sign in, so that guessing is slowed down for all processes together.

    It is stored as failed before the password is looked at, so that tries made at once are all counted. `email` is an
    address, or `again:CODE` for a password that a signed-in person gives again.
    """

    __tablename__ = "sign_in_try"

    id: Mapped[int] = mapped_column(primary_key=True)
    email: Mapped[str] = mapped_column(String(260))
    client: Mapped[str] = mapped_column(String(64), default="")
    moment: Mapped[Moment]
    succeeded: Mapped[bool]

    __table_args__ = (Index("ix_sign_in_try_email_moment", "email", "moment"),)


class SentForm(Base):
    """A form that has been acted on: sent again with the same content, it counts once.

    The token is a hash over the page's own token, who sent it, where to, and what stood in it.
    """

    __tablename__ = "sent_form"

    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    person: Mapped[Code]
    moment: Mapped[Moment]
    location: Mapped[str] = mapped_column(String(2000), default="")
