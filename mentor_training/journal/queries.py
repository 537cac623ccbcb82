"""Reading the journal."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.journal.chain import FIRST, Break, Entry, first_break
from mentor_training.journal.tables import JournalEntry


def head(db: Session) -> str:
    """Return the hash of the newest entry; of an empty journal, sixty-four zeros."""
    found = db.scalar(select(JournalEntry.hash).order_by(JournalEntry.number.desc()).limit(1))
    return found or FIRST


def entries(db: Session, subject: str = "", kind: str = "", most: int = 200) -> list[JournalEntry]:
    """Return the newest entries first, of one subject or kind where asked."""
    query = select(JournalEntry).order_by(JournalEntry.number.desc()).limit(most)
    if subject:
        query = query.where(JournalEntry.subject == subject)
    if kind:
        query = query.where(JournalEntry.kind == kind)
    return list(db.scalars(query))


def in_order(db: Session) -> Iterator[Entry]:
    """Yield every entry from the first on, a thousand at a time."""
    for row in db.scalars(select(JournalEntry).order_by(JournalEntry.number).execution_options(yield_per=1000)):
        yield Entry(row.number, row.moment, row.who, row.kind, row.subject, row.record, row.previous, row.hash)


def find_break(db: Session) -> Break | None:
    """Return the first place where the chain does not hold, or None."""
    return first_break(in_order(db))


# What may be recorded while an instance is still being moved in; anything else ends that.
MOVE_IN_KINDS = (
    "started", "edition", "person", "invited", "password-chosen", "participant", "card", "session", "looked",
)  # fmt: skip


def is_moving_in(db: Session) -> bool:
    """Say whether the instance is still empty: nothing but its beginnings has been recorded.

    What is imported until then counts as known from the beginning.
    """
    return db.scalar(select(JournalEntry.number).where(JournalEntry.kind.not_in(MOVE_IN_KINDS)).limit(1)) is None
