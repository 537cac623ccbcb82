"""Beginning a mail and ending it.

A mail is stored as begun, and committed, before a byte of it is sent; how it ended is stored afterwards. Whoever dies
in between leaves a mail that counts as sent: the program errs towards one mail too few, and never floods anybody.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.journal.actions import take_turn, write
from mentor_training.letters.digests import Outcome, may_send_today
from mentor_training.letters.queries.told import all_told, last_begun
from mentor_training.letters.tables import Mail, MailEnd, MailMatter
from mentor_training.people.queries import wants_digests

DIGEST = "digest"


def begin_digest(
    db: Session, at: datetime, by: str, person: str, keys: Collection[str], message_id: str, midnight: datetime
) -> int:
    """Store a digest as begun and return its number; 0 where it must not go out (any more).

    That is so when another run has told all of it, or anything today, or the person has turned digests off since.
    `midnight` is when the day began.
    """
    take_turn(db)
    last = last_begun(db, DIGEST, person).get(person)
    if all_told(db, person, keys) or not may_send_today(last, midnight) or not wants_digests(db, person):
        return 0
    return _begin(db, at, by, person, DIGEST, keys, message_id)


def _begin(db: Session, at: datetime, by: str, person: str, kind: str, keys: Collection[str], message_id: str) -> int:
    row = Mail(person=person, kind=kind, message_id=message_id, begun_at=at)
    db.add(row)
    db.flush()
    db.add_all(MailMatter(mail=row.number, key=key) for key in keys)
    write(db, at, by, "mail", person, {"mail": row.number, "kind": kind, "things": len(keys)})
    return row.number


def end_mail(db: Session, at: datetime, number: int, outcome: Outcome, code: int) -> None:
    """Store how a mail ended; after a sure no the same things may be told again."""
    db.add(MailEnd(mail=number, outcome=str(outcome), code=code, ended_at=at))
