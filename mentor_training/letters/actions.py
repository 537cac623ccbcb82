"""Beginning a mail and ending it, and trying an address again.

A mail is stored as begun, and committed, before a byte of it is sent; how it ended is stored afterwards. Whoever dies
in between leaves a mail that counts as sent: the program errs towards one mail too few, and never floods anybody.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.letters.digests import Outcome, may_send_today
from mentor_training.letters.queries.refused import address_mark, newest_mail, refused_addresses
from mentor_training.letters.queries.told import all_told, last_begun
from mentor_training.letters.tables import Mail, MailAgain, MailEnd, MailMatter
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import wants_digests

DIGEST = "digest"


@dataclass(frozen=True)
class ToSend:
    """A mail that is about to be begun: to whom and where, of which kind, what it tells, and its own name."""

    person: str
    address: str
    kind: str
    keys: Collection[str]
    message_id: str


def begin_digest(db: Session, at: datetime, by: str, mail: ToSend, midnight: datetime) -> int:
    """Store a digest as begun and return its number; 0 where it must not go out (any more).

    That is so when another run has told all of it, or anything today, or the person has turned digests off since.
    `midnight` is when the day began.
    """
    take_turn(db)
    last = last_begun(db, DIGEST, mail.person).get(mail.person)
    told = all_told(db, mail.person, mail.keys)
    if told or not may_send_today(last, midnight) or not wants_digests(db, mail.person):
        return 0
    return _begin(db, at, by, mail)


def begin_note(db: Session, at: datetime, by: str, mail: ToSend) -> int:
    """Store a mid-term note as begun and return its number; 0 where it went out, or may have, already."""
    take_turn(db)
    return 0 if all_told(db, mail.person, mail.keys) else _begin(db, at, by, mail)


def _begin(db: Session, at: datetime, by: str, mail: ToSend) -> int:
    mark = address_mark(mail.message_id, mail.address)
    row = Mail(person=mail.person, kind=mail.kind, message_id=mail.message_id, address_mark=mark, begun_at=at)
    db.add(row)
    db.flush()
    db.add_all(MailMatter(mail=row.number, key=key) for key in mail.keys)
    write(db, at, by, "mail", mail.person, {"mail": row.number, "kind": mail.kind, "things": len(mail.keys)})
    return row.number


def end_mail(db: Session, at: datetime, number: int, outcome: Outcome, code: int) -> None:
    """Store how a mail ended; after a sure no the same things may be told again."""
    db.add(MailEnd(mail=number, outcome=str(outcome), code=code, ended_at=at))


def try_again(db: Session, at: datetime, by: Actor, person: str) -> None:
    """Have a person's address be tried again, though it was refused; refused where it was not."""
    take_turn(db)
    if all(one.person != person for one in refused_addresses(db)):
        raise Refused(f"The address of {person} is not refused; the next mail goes there by itself.")
    after = newest_mail(db, person)
    db.add(MailAgain(person=person, after=after, wished_at=at, wished_by=by.code))
    write(db, at, by.code, "mail-again", person, {"after": after})
