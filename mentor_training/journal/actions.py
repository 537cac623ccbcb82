"""Writing the journal: every action writes its entry in its own transaction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select, text
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.journal.chain import FIRST, canonical, entry_hash
from mentor_training.journal.tables import JournalEntry

LOCK = 7262

_ENTRIES = table_of(JournalEntry)
_INSERT = insert(_ENTRIES)
_NEWEST = select(_ENTRIES.c.number, _ENTRIES.c.hash).order_by(_ENTRIES.c.number.desc()).limit(1)


def take_turn(db: Session) -> None:
    """Wait for one's turn to write: numbers and hashes follow one another.

    SQLite's writer holds the only turn from its BEGIN IMMEDIATE on; PostgreSQL gets a lock for the transaction.
    """
    if db.get_bind().dialect.name == "postgresql":
        db.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": LOCK})


def write(db: Session, at: datetime, who: str, kind: str, subject: str, record: Mapping[str, Any]) -> None:
    """Add an entry. The record carries codes and figures, never a name or free text about a person."""
    take_turn(db)
    run(db, _INSERT, _columns(at, who, kind, subject, record, _newest(db)))


def write_all(db: Session, at: datetime, who: str, entries: Iterable[tuple[str, str, Mapping[str, Any]]]) -> None:
    """Add many entries in one go, each a kind, a subject and a record as `write` takes them."""
    take_turn(db)
    newest, rows = _newest(db), []
    for kind, subject, record in entries:
        rows.append(_columns(at, who, kind, subject, record, newest))
        newest = rows[-1]["number"], rows[-1]["hash"]
    if rows:
        run(db, _INSERT, rows)


def _newest(db: Session) -> tuple[int, str]:
    found = run(db, _NEWEST).first()
    return (found[0], found[1]) if found else (0, FIRST)


def _columns(
    at: datetime, who: str, kind: str, subject: str, record: Mapping[str, Any], after: tuple[int, str]
) -> dict[str, Any]:
    number, previous, body = after[0] + 1, after[1], canonical(record)
    return {
        "number": number,
        "moment": at,
        "who": who,
        "kind": kind,
        "subject": subject,
        "record": body,
        "previous": previous,
        "hash": entry_hash(number, at, who, kind, subject, body, previous),
    }
