"""Reading the journal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from mentor_training.journal.chain import FIRST, Break, Entry, Proof, first_break, prove
from mentor_training.journal.tables import JournalEntry


def head(db: Session) -> str:
    """Return the hash of the newest entry; of an empty journal, sixty-four zeros."""
    found = db.scalar(select(JournalEntry.hash).order_by(JournalEntry.number.desc()).limit(1))
    return found or FIRST


def newest_moment(db: Session) -> datetime | None:
    """Return the moment of the newest entry, or None of an empty journal."""
    return db.scalar(select(JournalEntry.moment).order_by(JournalEntry.number.desc()).limit(1))


def entries(db: Session, subject: str = "", kind: str = "", most: int = 200) -> list[JournalEntry]:
    """Return the newest entries first, of one subject or kind where asked."""
    query = select(JournalEntry).order_by(JournalEntry.number.desc()).limit(most)
    if subject:
        query = query.where(JournalEntry.subject == subject)
    if kind:
        query = query.where(JournalEntry.kind == kind)
    return list(db.scalars(query))


@dataclass(frozen=True)
class Wanted:
    """Which entries are asked for: of a subject, of a kind, written up to a moment; nothing set: all."""

    subject: str = ""
    kind: str = ""
    until: datetime | None = None

    def of(self, query: Select[Any]) -> Select[Any]:
        """Narrow a query down to these entries."""
        if self.subject:
            query = query.where(JournalEntry.subject == self.subject)
        if self.kind:
            query = query.where(JournalEntry.kind == self.kind)
        return query if self.until is None else query.where(JournalEntry.moment <= self.until)


@dataclass(frozen=True)
class JournalPage:
    """One page of the journal, newest first; `newer` and `older` are the first numbers of the pages beside it.

    Pages hang on numbers of entries and not on counts, so that they stand still while the journal grows.
    """

    rows: tuple[JournalEntry, ...]
    total: int
    newer: int | None
    older: int | None


def page_of(db: Session, wanted: Wanted, start: int | None = None, most: int = 50) -> JournalPage:
    """Return the entries wanted from the number `start` downwards, or from the newest; at most so many."""
    newest_first = wanted.of(select(JournalEntry)).order_by(JournalEntry.number.desc())
    from_start = newest_first if start is None else newest_first.where(JournalEntry.number <= start)
    rows = list(db.scalars(from_start.limit(most + 1)))
    total = db.scalar(wanted.of(select(func.count()).select_from(JournalEntry))) or 0
    older = rows[most].number if len(rows) > most else None
    newer = None if start is None else _newer(db, wanted, start, most)
    return JournalPage(tuple(rows[:most]), total, newer, older)


def _newer(db: Session, wanted: Wanted, start: int, most: int) -> int | None:
    """Return the number that the page before begins with, or None when there is nothing newer."""
    above = wanted.of(select(JournalEntry.number)).where(JournalEntry.number > start)
    numbers = list(db.scalars(above.order_by(JournalEntry.number).limit(most)))
    return numbers[-1] if numbers else None


def all_wanted(db: Session, wanted: Wanted) -> Iterator[JournalEntry]:
    """Yield every entry wanted, newest first, a thousand at a time."""
    query = wanted.of(select(JournalEntry)).order_by(JournalEntry.number.desc())
    yield from db.scalars(query.execution_options(yield_per=1000))


def kinds(db: Session) -> list[str]:
    """Return every kind of entry that there is, in the order of the alphabet."""
    return list(db.scalars(select(JournalEntry.kind).distinct().order_by(JournalEntry.kind)))


def in_order(db: Session) -> Iterator[Entry]:
    """Yield every entry from the first on, a thousand at a time."""
    for row in db.scalars(select(JournalEntry).order_by(JournalEntry.number).execution_options(yield_per=1000)):
        yield Entry(row.number, row.moment, row.who, row.kind, row.subject, row.record, row.previous, row.hash)


def find_break(db: Session) -> Break | None:
    """Return the first place where the chain does not hold, or None."""
    return first_break(in_order(db))


def prove_chain(db: Session, noted: str = "") -> Proof:
    """Go through the whole chain; `noted` is a head kept elsewhere that must be in it."""
    return prove(in_order(db), noted)


# What may be recorded while an instance is still being moved in; anything else ends that.
MOVE_IN_KINDS = (
    "started", "edition", "person", "invited", "password-chosen", "participant", "card", "session", "term", "looked",
)  # fmt: skip


def is_moving_in(db: Session) -> bool:
    """Say whether the instance is still empty: nothing but its beginnings has been recorded.

    What is imported until then counts as known from the beginning.
    """
    return db.scalar(select(JournalEntry.number).where(JournalEntry.kind.not_in(MOVE_IN_KINDS)).limit(1)) is None
