"""Taking minutes back whose record was voided or withdrawn after they were approved, in the same transaction."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.evidence.facts import ABOUT_ANOTHER, HOURS
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import store_entry
from mentor_training.hours.queries import entries_of
from mentor_training.hours.rules import TAKEN_BACK
from mentor_training.hours.struck import TakingBack, to_take_back
from mentor_training.hours.tables import HoursApproval, HoursEntry


def take_back(db: Session, at: datetime, by: str, person: str) -> list[HoursEntry]:
    """Correct the log of somebody of whom a record was voided, withdrawn or restored, by entries of their own.

    Each names the entry whose minutes it takes back or gives back, and rests on the record that says so; what was
    stated already is so put right on the next statement. Where nothing is to be done, nothing is.
    """
    entries = entries_of(db, (person,))
    if not any(one.record for one in entries):
        return []
    due = to_take_back(entries, facts_of(db, person, at, (HOURS, *ABOUT_ANOTHER)))
    return [_take_back(db, at, by, one) for one in due]


def _take_back(db: Session, at: datetime, by: str, one: TakingBack) -> HoursEntry:
    of = one.entry
    row = HoursEntry(
        person=of.person, category=of.category, day=one.day, source=TAKEN_BACK, about=of.about, minutes=one.minutes,
        reason=one.because.note[:500], corrects=of.id,
    )  # fmt: skip
    store_entry(db, at, by, row)
    db.add(HoursApproval(entry=row.id, approved_by=by, moment=at, record=one.because.code))
    db.flush()
    return row
