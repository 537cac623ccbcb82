"""Writing the journal: every action writes its entry in its own transaction."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select, text
from sqlalchemy.orm import Session

from mentor_training.journal.chain import FIRST, canonical, entry_hash
from mentor_training.journal.tables import JournalEntry

LOCK = 7262


def take_turn(db: Session) -> None:
    """Wait for one's turn to write: numbers and hashes follow one another.

    SQLite's writer holds the only turn from its BEGIN IMMEDIATE on; PostgreSQL gets a lock for the transaction.
    """
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": LOCK})


def write(db: Session, at: datetime, who: str, kind: str, subject: str, record: Mapping[str, Any]) -> JournalEntry:
    """Add an entry. The record carries codes and figures, never a name or free text about a person."""
    take_turn(db)
    newest = db.execute(
        select(JournalEntry.number, JournalEntry.hash).order_by(JournalEntry.number.desc()).limit(1)
    ).first()
    number, previous = (newest[0] + 1, newest[1]) if newest else (1, FIRST)
    body = canonical(record)
    entry = JournalEntry(
        number=number,
        moment=at,
        who=who,
        kind=kind,
        subject=subject,
        record=body,
        previous=previous,
        hash=entry_hash(number, at, who, kind, subject, body, previous),
    )
    db.add(entry)
    db.flush()
    return entry
