"""Taking a register in: everything or nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.evidence.actions import move_in, record_all
from mentor_training.evidence.queries import last_number
from mentor_training.hours.taking_back import take_back
from mentor_training.journal.actions import take_turn
from mentor_training.journal.chain import digest
from mentor_training.people.permissions import Actor
from mentor_training.register.queries import look_at
from mentor_training.register.rules import Intake, numbered, referred_first


def ignore(_stored: int) -> None:
    """Take no notice of how far an import is."""


def import_register(
    db: Session, at: datetime, by: Actor, text: str, stored: Callable[[int], object] = ignore
) -> Intake:
    """Take a register in whole, or say in `problems` what is wrong with it and take nothing.

    Into an empty register the rows come as they are, with the moments at which they were recorded elsewhere, and one
    journal entry says so. Later each new row is recorded now, with an entry of its own. `stored` is told how many
    rows have been stored since it was told last.
    """
    take_turn(db)
    intake = look_at(db, at, text)
    if not intake.problems:
        take_in(db, at, by, intake, digest(text), stored)
    return intake


def take_in(
    db: Session, at: datetime, by: Actor, intake: Intake, file_hash: str, stored: Callable[[int], object]
) -> None:
    """Store the new rows of a file that was looked at in this transaction."""
    if intake.problems:
        raise Refused(*(str(problem) for problem in intake.problems))
    names = {row.record for row in intake.new}
    referred = {row.refers_to for row in intake.new} & names - {""}
    facts = referred_first(numbered(intake.new, last_number(db), names, at, by.code), referred)
    if not intake.is_move_in:
        record_all(db, at, by.code, facts, stored)
        for person in sorted({row.person for row in intake.new if row.refers_to}):
            take_back(db, at, by.code, person)
    elif intake.new:
        move_in(db, at, by.code, facts, _told(at, intake, file_hash), stored)


def _told(at: datetime, intake: Intake, file_hash: str) -> dict[str, str | int | bool]:
    """Say what the journal keeps of a move-in; what it brought counts as known since it was recorded elsewhere."""
    first, last = (moment.astimezone(UTC).isoformat() for moment in intake.recorded(at))
    return {
        "records": len(intake.new),
        "people": intake.people,
        "file": "sha256:" + file_hash,
        "first_recorded_at": first,
        "last_recorded_at": last,
        "from_start": True,
    }
