"""Addresses that a mail server refuses for good: how often in a row, since when, and which are set aside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.journal.chain import digest
from mentor_training.letters.digests import MOST_REFUSALS, Ended, Outcome, refusals_in_a_row
from mentor_training.letters.tables import Mail, MailAgain, MailEnd
from mentor_training.people.queries import people
from mentor_training.people.tables import Person


@dataclass(frozen=True)
class RefusedAddress:
    """A person whose address of now was refused for good, so many times in a row, the last time by the mail `mail`."""

    person: str
    name: str
    address: str
    times: int
    code: int
    first_at: datetime
    last_at: datetime
    mail: int

    @property
    def is_set_aside(self) -> bool:
        """Say whether nothing is sent there any more until it is put right."""
        return self.times >= MOST_REFUSALS


def address_mark(message_id: str, address: str) -> str:
    """Return what tells an address from another: a hash, salted with the message's own name."""
    return digest(f"{message_id} {address.lower()}")


def refused_addresses(db: Session) -> tuple[RefusedAddress, ...]:
    """Return who has an address that was refused for good the last time, in the order of their codes."""
    ever = select(Mail.person).join(MailEnd, MailEnd.mail == Mail.number)
    codes = set(db.scalars(ever.where(MailEnd.outcome == str(Outcome.ADDRESS_REFUSED)).distinct()))
    found = []
    for row in people(db) if codes else ():
        refusals = _refusals(db, row) if row.code in codes else ()
        if refusals:
            found.append(_of(row, refusals))
    return tuple(found)


def set_aside(db: Session) -> tuple[RefusedAddress, ...]:
    """Return who has an address to which nothing is sent any more."""
    return tuple(one for one in refused_addresses(db) if one.is_set_aside)


def newest_mail(db: Session, person: str) -> int:
    """Return the number of the newest mail to a person; 0 where there is none."""
    return db.scalar(select(func.max(Mail.number)).where(Mail.person == person)) or 0


def _of(row: Person, refusals: Sequence[Ended]) -> RefusedAddress:
    newest, oldest = refusals[0], refusals[-1]
    return RefusedAddress(
        row.code, row.name, row.email, len(refusals), newest.code, oldest.begun_at, newest.begun_at, newest.number
    )


def _refusals(db: Session, row: Person) -> tuple[Ended, ...]:
    query = (
        select(Mail, MailEnd.outcome, MailEnd.code)
        .outerjoin(MailEnd, MailEnd.mail == Mail.number)
        .where(Mail.person == row.code)
        .order_by(Mail.number.desc())
    )
    ended = (
        Ended(
            mail.number, mail.address_mark == address_mark(mail.message_id, row.email), outcome or "", code or 0,
            mail.begun_at,
        )
        for mail, outcome, code in db.execute(query)
    )  # fmt: skip
    after = db.scalar(select(func.max(MailAgain.after)).where(MailAgain.person == row.code))
    return refusals_in_a_row(ended, after or 0)
