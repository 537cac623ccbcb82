"""Inviting people, choosing a password, signing in."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import text
from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused
from mentor_training.journal.actions import write
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import by_email, by_invitation, failures_since_success, person_for, wants_digests
from mentor_training.people.roster import Row
from mentor_training.people.rules import (
    INVITATION_DAYS,
    MOST_EXTRA_TIME,
    TRIES_FROM_EVERYWHERE,
    hash_password,
    is_locked,
    password_faults,
    password_fits,
    wait_until,
)
from mentor_training.people.tables import DigestChoice, Person, SignInTry


def enroll(db: Session, at: datetime, by: Actor, row: Row, from_start: bool) -> bool:
    """Add a person or bring their details up to date; return whether anything changed."""
    found = db.get(Person, row.person)
    details = {"name": row.name, "email": row.email, "roles": row.roles, "sections": row.sections}
    if found is None:
        db.add(Person(code=row.person, conflicts=(), recorded_at=at, from_start=from_start, **details))
    elif all(getattr(found, key) == value for key, value in details.items()):
        return False
    else:
        for key, value in details.items():
            setattr(found, key, value)
    db.flush()
    write(db, at, by.code, "person", row.person, {"roles": list(row.roles), "sections": list(row.sections)})
    return True


def import_people(db: Session, at: datetime, by: Actor, rows: list[Row], from_start: bool) -> int:
    """Take a checked roster in; return how many rows changed something."""
    return sum(enroll(db, at, by, row, from_start) for row in rows)


def invite(db: Session, at: datetime, by: Actor, code: str) -> str:
    """Make an invitation for a person and return its token; an earlier one stops working."""
    person = person_for(db, code)
    token = secrets.token_urlsafe(32)
    person.invitation_hash = hashlib.sha256(token.encode()).hexdigest()
    person.invitation_until = at + timedelta(days=INVITATION_DAYS)
    write(db, at, by.code, "invited", code, {"until": person.invitation_until.isoformat()})
    return token


def accept_invitation(db: Session, at: datetime, token: str, password: str, minimum: int) -> Person:
    """Set the password that an invited person chose; the invitation works once."""
    person = by_invitation(db, token, at)
    if person is None:
        raise NotFound("this invitation, or it has ended; ask the coordinator for a new one")
    choose_password(person, password, minimum)
    person.invitation_hash = None
    person.invitation_until = None
    db.add(SignInTry(email=person.email, moment=at, succeeded=True))
    write(db, at, person.code, "password-chosen", person.code, {})
    return person


def choose_password(person: Person, password: str, minimum: int) -> None:
    """Store the hash of a new password, if it is a fit one."""
    faults = password_faults(password, minimum, (person.name, person.email))
    if faults:
        raise Refused(*faults)
    person.password_hash = hash_password(password)


def begin_try(db: Session, at: datetime, email: str, client: str) -> int:
    """Count a try to sign in before its password is looked at, and return its number; refuse while tries have to wait.

    The caller commits before it looks at the password: no other writer waits while that is hashed.
    """
    address = email.strip().lower()
    _take_turn_for(db, address)
    everywhere = failures_since_success(db, address)
    if is_locked(everywhere):
        raise Refused("Too many tries in a row have failed for this address; ask the coordinator for a new invitation.")
    waiting = wait_until(failures_since_success(db, address, client), at)
    waiting = waiting or wait_until(everywhere, at, TRIES_FROM_EVERYWHERE)
    if waiting:
        minutes = max(1, round((waiting - at).total_seconds() / 60))
        raise Refused(f"Too many tries have failed for this address; try again in {minutes} minutes.")
    row = SignInTry(email=address, client=client[:64], moment=at, succeeded=False)
    db.add(row)
    db.flush()
    return row.id


def check_password(db: Session, email: str, password: str) -> Person | None:
    """Return the person an address and a password belong to, or None; it takes as long either way."""
    person = by_email(db, email)
    fits = password_fits(password, person.password_hash if person else None)
    return person if fits else None


def end_try(db: Session, number: int) -> None:
    """Note that a counted try succeeded."""
    row = db.get(SignInTry, number)
    if row:
        row.succeeded = True


class WrongPassword(Refused):
    """The password given again is not the person's own; the caller counts the try with `count_failure`."""


def confirm_password(db: Session, at: datetime, code: str, password: str) -> None:
    """Refuse unless the password is this person's own; asked again before a sign-off.

    Counted apart from signing in, so that nobody who is not signed in can keep an observer from signing off.
    """
    person = person_for(db, code)
    if wait_until(failures_since_success(db, f"again:{code}"), at):
        raise Refused("Too many tries have failed; wait a quarter of an hour.")
    if not password_fits(password, person.password_hash):
        raise WrongPassword("That is not your password; nothing was stored.")
    db.add(SignInTry(email=f"again:{code}", moment=at, succeeded=True))


def count_failure(db: Session, at: datetime, code: str) -> None:
    """Count a password that was given again and did not fit, so that guessing is slowed down there too."""
    db.add(SignInTry(email=f"again:{code}", moment=at, succeeded=False))


def _take_turn_for(db: Session, address: str) -> None:
    """Wait for one's turn to try an address; SQLite's writer has the only turn already."""
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("SELECT pg_advisory_xact_lock(7264, hashtext(:address))"), {"address": address})


def set_extra_time(db: Session, at: datetime, by: Actor, code: str, percent: int) -> Person:
    """Set how many percent of extra time a person is allowed. That it is set is journaled, and not how much or why."""
    person = person_for(db, code)
    if not 0 <= percent <= MOST_EXTRA_TIME:
        raise Refused(f"Extra time is a whole number of percent from 0 to {MOST_EXTRA_TIME}.")
    person.extra_time_percent = percent
    write(db, at, by.code, "accommodation", code, {})
    return person


def set_conflicts(db: Session, at: datetime, by: Actor, code: str, conflicts: tuple[str, ...]) -> Person:
    """Set a person's conflict list: those whom they neither observe nor sign off, such as relatives and room-mates."""
    person = person_for(db, code)
    unknown = [other for other in conflicts if db.get(Person, other) is None]
    if unknown:
        raise Refused(*(f"There is nobody with the code {other!r}." for other in unknown))
    if code in conflicts:
        raise Refused("Nobody stands on their own conflict list.")
    person.conflicts = tuple(sorted(set(conflicts)))
    write(db, at, by.code, "conflicts", code, {"conflicts": list(person.conflicts)})
    return person


def choose_digests(db: Session, at: datetime, by: Actor, wanted: bool) -> None:
    """Turn one's own digests by mail on or off; what is so already stays as it was said."""
    if wants_digests(db, by.code) != wanted:
        db.add(DigestChoice(person=by.code, wanted=wanted, said_at=at))
        write(db, at, by.code, "digests", by.code, {"wanted": wanted})
