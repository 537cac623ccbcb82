"""Reading what a statement froze, piece by piece, so that fifty thousand lines take no more memory than a thousand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from hashlib import sha256

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.hours.lines import Line, lines_in
from mentor_training.hours.tables import Statement, StatementPiece


def hash_of(pieces: Iterable[str]) -> str:
    """Return the SHA-256 of a text that comes in pieces."""
    found = sha256()
    for piece in pieces:
        found.update(piece.encode("utf-8"))
    return found.hexdigest()


def pieces_of_lines(db: Session, number: str) -> Iterator[str]:
    """Yield the CSV of a statement's lines, byte for byte as it was frozen; nothing for one made before there were."""
    query = select(StatementPiece.text).where(StatementPiece.statement == number).order_by(StatementPiece.place)
    yield from db.scalars(query.execution_options(yield_per=1))


def lines_of(db: Session, row: Statement) -> Iterator[Line]:
    """Yield the lines of a statement as they were frozen."""
    for place, piece in enumerate(pieces_of_lines(db, row.number)):
        yield from lines_in(piece, first=place == 0)
