"""Letters of hours under their numbers: of whom, as they were frozen, and whether one is genuine."""

from __future__ import annotations

import json

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.certificates.rules import Standing, answered
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.chain import digest
from mentor_training.letters.rules import HoursLetter, clean_letter_number, letter_in
from mentor_training.letters.tables import WrittenLetter
from mentor_training.people.permissions import COORDINATOR, Actor


def letters_of(db: Session, person: str) -> list[WrittenLetter]:
    """Return the letters that were written of a person, newest first."""
    query = select(WrittenLetter).where(WrittenLetter.person == person)
    return list(db.scalars(query.order_by(WrittenLetter.written_at.desc(), WrittenLetter.number.desc())))


def letter_for(db: Session, viewer: Actor, number: str) -> WrittenLetter:
    """Return a letter that a viewer may have: one's own, for the coordinator everybody's."""
    row = db.get(WrittenLetter, clean_letter_number(number))
    if row is None:
        raise NotFound(f"letter {number}")
    if viewer.code != row.person and COORDINATOR not in viewer.roles:
        raise NotAllowed("another person's letter of hours")
    return row


def as_written(row: WrittenLetter) -> HoursLetter:
    """Return what a letter says, as it was frozen; refused where the frozen text is not what it was."""
    if digest(row.body) != row.hash:
        raise Refused(
            f"Letter {row.number} is not what it was when it was written: its SHA-256 does not fit.",
            "It is not given out: look at the journal with `journal verify`.",
        )
    return letter_in(json.loads(row.body))


def program_of(row: WrittenLetter) -> str:
    """Return the program's title as a letter says it."""
    return str(json.loads(row.body)["program"])


def verify_letter(db: Session, number: str, typed: str) -> tuple[str, Standing] | None:
    """Say of a letter's number and a code whether it is valid or unknown; None for what is no letter's number.

    A letter states what was stated on its day: it does not lapse. One whose frozen text was changed is unknown.
    """
    clean = clean_letter_number(number)
    if not clean:
        return None
    row = db.get(WrittenLetter, clean)
    if row is None:
        return clean, answered(None, typed, Standing.UNKNOWN)
    standing = Standing.VALID if digest(row.body) == row.hash else Standing.UNKNOWN
    return clean, answered(row.verification_code, typed, standing)
