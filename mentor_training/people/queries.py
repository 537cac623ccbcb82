"""Looking people up."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime

from sqlalchemy import bindparam, or_, select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.journal.tables import JournalEntry
from mentor_training.people.permissions import COORDINATOR, COURSE_INSTRUCTOR, OBSERVER, VOLUNTEER, Actor
from mentor_training.people.rules import MOST_IN_A_ROW
from mentor_training.people.tables import DigestChoice, Person, SignInTry


def person_for(db: Session, code: str) -> Person:
    """Return a person by code."""
    row = db.get(Person, code)
    if row is None:
        raise NotFound(f"person {code}")
    return row


_TWO = select(Person).where(or_(Person.code == bindparam("one"), Person.code == bindparam("other")))


def both_of(db: Session, one: str, other: str) -> list[Person]:
    """Return those of two people whom there are, read in one go; while they are held, looking them up asks no more."""
    return list(db.scalars(_TWO, {"one": one, "other": other}))


def volunteer_for(db: Session, viewer: Actor, code: str) -> Person:
    """Return a volunteer that a viewer may look at: oneself; for observers and the coordinator anyone; for a course
    instructor those of the own sections.
    """
    if viewer.code != code and not {OBSERVER, COORDINATOR} & viewer.roles:
        row = db.get(Person, code)
        if row is None or set(row.sections).isdisjoint(viewer.sections):
            raise NotAllowed("another volunteer's records")
    row = person_for(db, code)
    if VOLUNTEER not in row.roles:
        raise NotFound(f"volunteer {code}")
    return row


def by_email(db: Session, email: str) -> Person | None:
    """Return the person with an address, written in any case."""
    return db.scalar(select(Person).where(Person.email == email.strip().lower()))


def by_invitation(db: Session, token: str, now: datetime) -> Person | None:
    """Return the person whose open invitation a token is."""
    row = db.scalar(select(Person).where(Person.invitation_hash == hashlib.sha256(token.encode()).hexdigest()))
    return row if row and row.invitation_until and row.invitation_until > now else None


def people(db: Session, role: str = "") -> list[Person]:
    """Return everybody in the order of their codes, or those with a role."""
    rows = db.scalars(select(Person).order_by(Person.code))
    return [row for row in rows if not role or role in row.roles]


def names(db: Session) -> dict[str, str]:
    """Return everybody's name by code."""
    return {row.code: row.name for row in db.execute(select(Person.code, Person.name).order_by(Person.code))}


def roles_once_held(db: Session, role: str, known_at: datetime) -> set[str]:
    """Return the codes of those who had a role at a moment, by the journal's newest entry about each by then."""
    query = select(JournalEntry.subject, JournalEntry.record).where(
        JournalEntry.kind == "person", JournalEntry.moment <= known_at
    )
    newest = {
        subject: json.loads(record)["roles"] for subject, record in db.execute(query.order_by(JournalEntry.number))
    }
    return {code for code, roles in newest.items() if role in roles}


def extra_time_of(db: Session, code: str) -> int:
    """Return how many percent of extra time a person is allowed: for the rules and themselves, not for others."""
    return db.scalar(select(Person.extra_time_percent).where(Person.code == code)) or 0


def volunteers(db: Session) -> list[Person]:
    """Return all volunteers in the order of their codes."""
    return people(db, VOLUNTEER)


def volunteers_answered_for(db: Session, viewer: Actor) -> list[Person]:
    """Return the volunteers for whose learning somebody answers: the coordinator for all, a course instructor for those
    of the own sections.
    """
    everybody = volunteers(db)
    if COORDINATOR in viewer.roles:
        return everybody
    own = set(viewer.sections) if COURSE_INSTRUCTOR in viewer.roles else set()
    return [row for row in everybody if not own.isdisjoint(row.sections)]


def failures_since_success(db: Session, email: str, client: str | None = None) -> list[datetime]:
    """Return the moments of the failed tries since the last that succeeded, oldest first; of one client where named."""
    query = select(SignInTry).where(SignInTry.email == email).order_by(SignInTry.moment.desc(), SignInTry.id.desc())
    if client is not None:
        query = query.where(SignInTry.client == client)
    failed: list[datetime] = []
    for one in db.scalars(query.limit(MOST_IN_A_ROW)):
        if one.succeeded:
            break
        failed.append(one.moment)
    return failed[::-1]


def actor_of(row: Person) -> Actor:
    """Return a person as somebody who acts."""
    return Actor(row.code, row.name, frozenset(row.roles), row.sections)


def without_digests(db: Session) -> set[str]:
    """Return who has turned digests by mail off."""
    rows = db.execute(select(DigestChoice.person, DigestChoice.wanted).order_by(DigestChoice.number))
    return {person for person, wanted in dict(rows.all()).items() if not wanted}


def wants_digests(db: Session, code: str) -> bool:
    """Say whether a person gets digests by mail: unless they have turned them off."""
    query = select(DigestChoice.wanted).where(DigestChoice.person == code).order_by(DigestChoice.number.desc())
    return db.scalar(query.limit(1)) is not False
