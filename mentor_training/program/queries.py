"""Reading published editions."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.database.base import table_of
from mentor_training.database.session import run
from mentor_training.errors import NotFound, Refused
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram, in_force
from mentor_training.program.reading import read_program
from mentor_training.program.tables import Edition, EditionFile

_ROWS = table_of(Edition).c
_EDITIONS = select(_ROWS.number, _ROWS.effective, _ROWS.published_at, _ROWS.hash, _ROWS.from_start).order_by(
    _ROWS.number
)


def known_editions(db: Session, known_at: datetime) -> tuple[PublishedProgram, ...]:
    """Return every edition known at a moment, in the order of their numbers."""
    published = (_published(db, *row) for row in run(db, _EDITIONS))
    return tuple(edition for edition in published if edition.known(known_at))


def editions(db: Session) -> list[Edition]:
    """Return the rows of all editions, the newest first."""
    return list(db.scalars(select(Edition).order_by(Edition.number.desc())))


def latest_edition(db: Session) -> Edition | None:
    """Return the edition published last, whether or not it has taken effect; None before the first."""
    return db.scalar(select(Edition).order_by(Edition.number.desc()).limit(1))


def edition_for(db: Session, number: int) -> Edition:
    """Return an edition by its number."""
    found = db.get(Edition, number)
    if found is None:
        raise NotFound(f"edition {number}")
    return found


def as_published(db: Session, row: Edition) -> PublishedProgram:
    """Return an edition with its program, parsed once for each content."""
    return _published(db, row.number, row.effective, row.published_at, row.hash, row.from_start)


def _published(
    db: Session, number: int, effective: date, published_at: datetime, content_hash: str, from_start: bool
) -> PublishedProgram:
    program = _remembered(content_hash) or _remember(content_hash, files_of(db, number))
    return PublishedProgram(number, effective, published_at, content_hash, program, from_start)


def files_of(db: Session, edition: int) -> dict[str, str]:
    """Return the files of an edition, by path."""
    found = db.scalars(select(EditionFile).where(EditionFile.edition == edition).order_by(EditionFile.path))
    return {file.path: file.text for file in found}


def edition_in_force(db: Session, on: date, known_at: datetime) -> PublishedProgram | None:
    """Return the edition in force on a day, as known at a moment; None before the first one takes effect."""
    return in_force(known_editions(db, known_at), on)


def require_edition(db: Session, on: date, known_at: datetime) -> PublishedProgram:
    """Return the edition in force, or refuse and say what to do."""
    found = edition_in_force(db, on, known_at)
    if found is None:
        raise Refused(f"No edition of the program is in force on {on:%Y-%m-%d}; the coordinator publishes one first.")
    return found


_PROGRAMS: dict[str, Program] = {}


def _remembered(content_hash: str) -> Program | None:
    return _PROGRAMS.get(content_hash)


def _remember(content_hash: str, files: dict[str, str]) -> Program:
    program, findings = read_program(files, advice=False)
    if program is None:
        raise ValueError("a published edition can no longer be read: " + "; ".join(str(one) for one in findings))
    _PROGRAMS[content_hash] = program
    return program
