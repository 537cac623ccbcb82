"""What was told by mail already, when the last one was begun, and which mails nobody knows the end of."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session
from sqlalchemy.sql import ColumnElement

from mentor_training.letters.digests import TOLD_AGAIN
from mentor_training.letters.tables import Mail, MailEnd, MailMatter


def _counts() -> ColumnElement[bool]:
    return or_(MailEnd.outcome.is_(None), MailEnd.outcome.not_in([str(one) for one in TOLD_AGAIN]))


def told(db: Session, person: str = "") -> dict[str, set[str]]:
    """Return by person the keys of what was told, or may have been; of one person if asked."""
    query = (
        select(Mail.person, MailMatter.key)
        .join(MailMatter, MailMatter.mail == Mail.number)
        .outerjoin(MailEnd, MailEnd.mail == Mail.number)
        .where(_counts())
    )
    found: dict[str, set[str]] = {}
    for who, key in db.execute(query.where(Mail.person == person) if person else query):
        found.setdefault(who, set()).add(key)
    return found


def last_begun(db: Session, kind: str, person: str = "") -> dict[str, datetime]:
    """Return by person when their last mail of a kind was begun that was sent, or may have been."""
    query = (
        select(Mail.person, func.max(Mail.begun_at))
        .outerjoin(MailEnd, MailEnd.mail == Mail.number)
        .where(_counts(), Mail.kind == kind)
        .group_by(Mail.person)
    )
    return dict(db.execute(query.where(Mail.person == person) if person else query).all())


def without_end(db: Session) -> int:
    """Return how many mails were begun of which nobody knows whether they went out."""
    query = select(func.count()).select_from(Mail).outerjoin(MailEnd, MailEnd.mail == Mail.number)
    return db.scalar(query.where(or_(MailEnd.outcome.is_(None), MailEnd.outcome == "unknown"))) or 0


def all_told(db: Session, person: str, keys: Collection[str]) -> bool:
    """Say whether everything that a mail would tell somebody has been told."""
    return set(keys) <= told(db, person).get(person, set())
