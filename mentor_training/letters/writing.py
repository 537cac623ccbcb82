"""Writing a letter of hours: under a number, frozen with its hash, in the journal."""

from __future__ import annotations

import secrets
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.certificates.rules import CODE_LENGTH, SIGNS
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.journal.queries import head
from mentor_training.letters.queries.hours import hours_letter, letter_person
from mentor_training.letters.queries.written import letters_of
from mentor_training.letters.rules import letter_content
from mentor_training.letters.tables import WrittenLetter
from mentor_training.people.permissions import Actor


def write_letter(db: Session, at: datetime, by: Actor, person: str, program: str, on: date) -> WrittenLetter:
    """Write somebody's letter of hours on a day; where the same was written that day, it is that one.

    `program` is its title, as the letter names it.
    """
    take_turn(db)
    letter = hours_letter(db, letter_person(db, by, person))
    body = canonical(letter_content(letter, program, on))
    before = next((one for one in letters_of(db, person) if one.body == body), None)
    if before:
        return before
    row = WrittenLetter(
        number=_next_number(db, on.year), verification_code="".join(secrets.choice(SIGNS) for _ in range(CODE_LENGTH)),
        person=person, day=on, written_at=at, written_by=by.code, body=body, hash=digest(body), journal_head=head(db),
    )  # fmt: skip
    db.add(row)
    db.flush()
    told = {"person": person, "statements": [one.number for one in letter.statements], "minutes": letter.minutes}
    write(db, at, by.code, "hours-letter", row.number, told | {"hash": row.hash, "journal_head": row.journal_head})
    return row


def _next_number(db: Session, year: int) -> str:
    made = db.scalar(select(func.count()).select_from(WrittenLetter).where(WrittenLetter.number.like(f"L-{year}-%")))
    return f"L-{year}-{(made or 0) + 1:04d}"
