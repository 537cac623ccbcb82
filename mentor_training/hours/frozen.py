"""Reading what a statement froze, piece by piece, so that fifty thousand lines take no more memory than a thousand."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from hashlib import sha256
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.hours.lines import Line, lines_in
from mentor_training.hours.tables import Statement, StatementPiece
from mentor_training.journal.chain import canonical
from mentor_training.people.permissions import CONSOLE
from mentor_training.people.queries import names


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


@dataclass(frozen=True)
class Called:
    """What a statement calls the program and its people, and the time zone of its clock times."""

    program: str
    zone: tzinfo
    people: Mapping[str, str]

    def person(self, code: str) -> str:
        """Return a name with its code, or the code alone of who has none; whoever typed a command is not known."""
        if code == CONSOLE.code:
            return "a command on the program's own machine"
        return f"{self.people[code]} ({code})" if code in self.people else code


def called_text(db: Session, codes: Iterable[str], program: str, zone: ZoneInfo) -> str:
    """Return what program and people are called now as the text that is kept with a statement."""
    known = names(db)
    people = {code: known[code] for code in sorted(set(codes)) if code in known}
    return canonical({"program": program, "time_zone": zone.key, "people": people})


def called(db: Session, row: Statement, program: str, zone: tzinfo) -> Called:
    """Return what a statement was frozen with; for one made before that was kept, what is so now."""
    if not row.called:
        return Called(program, zone, names(db))
    kept = json.loads(row.called)
    return Called(kept["program"] or program, ZoneInfo(kept["time_zone"]), kept["people"])


def zone_of(row: Statement, zone: tzinfo) -> tzinfo:
    """Return the time zone of a statement's clock times, else the program's own."""
    return ZoneInfo(json.loads(row.called)["time_zone"]) if row.called else zone
