"""Holding a file against what was frozen: which cell of which row is not what the statement says."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused
from mentor_training.hours.frozen import hash_of, pieces_of_lines
from mentor_training.hours.lines import LINE_COLUMNS
from mentor_training.hours.stated import COLUMNS as SUM_COLUMNS
from mentor_training.hours.tables import Statement
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import entries

MOST_TOLD = 100


@dataclass(frozen=True)
class Checked:
    """What was found: the statement, whether it is the same to the byte, and what does not match.

    `part` is what was compared one by one, `note` what could not be compared.
    """

    number: str
    what: str
    same_bytes: bool
    differences: tuple[str, ...]
    part: str = "cell"
    note: str = ""


def ledger_faults(db: Session, row: Statement) -> Iterator[str]:
    """Say where what is kept here does not fit its own hashes, or the journal's entry about it."""
    told = next((one.record for one in entries(db, subject=row.number, kind="statement")), "")
    if digest(row.body) != row.hash or f'"hash":"{row.hash}"' not in told:
        yield "what is kept here of its sums does not fit the hash that the journal holds"
    if row.called and f'"called_hash":"{digest(row.called)}"' not in told:
        yield "what is kept here of its names does not fit the hash that the journal holds"
    if row.lines_hash and (
        hash_of(pieces_of_lines(db, row.number)) != row.lines_hash or f'"lines_hash":"{row.lines_hash}"' not in told
    ):
        yield "what is kept here of its lines does not fit the hash that the journal holds"


def statement_named(db: Session, number: str) -> Statement:
    row = db.get(Statement, number)
    if row is None:
        raise NotFound(f"statement {number or 'without a number'}")
    return row


# ---- CSV ----


def check_csv(db: Session, content: bytes) -> Checked:
    """Hold a statement's CSV, of its sums or of its lines, against what was frozen."""
    try:
        rows = rows_in(content)
    except (UnicodeDecodeError, csv.Error) as error:
        raise Refused(f"This is no statement of hours: it cannot be read as CSV in UTF-8 ({error}).") from None
    if len(rows) < 2 or not rows[1] or "statement" not in rows[0]:
        raise Refused(f"This is no statement of hours: the first row would be {','.join(SUM_COLUMNS)}.")
    row = statement_named(db, _most_named(rows))
    is_lines = len(set(rows[0]) & set(LINE_COLUMNS)) > len(set(rows[0]) & set(SUM_COLUMNS))
    frozen = "".join(pieces_of_lines(db, row.number)) if is_lines else row.body
    kept = list(csv.reader(io.StringIO(frozen, newline="")))
    columns = LINE_COLUMNS if is_lines else SUM_COLUMNS
    found = [*ledger_faults(db, row), *differences("", columns, rows, kept)]
    same = content == frozen.encode("utf-8")
    return Checked(row.number, "lines as CSV" if is_lines else "sums as CSV", same, tuple(found))


def rows_in(content: bytes) -> list[list[str]]:
    """Return the rows of a CSV; UnicodeDecodeError or csv.Error for what is none."""
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True))


def _most_named(rows: Sequence[Sequence[str]]) -> str:
    """Return the number that most rows carry, so that one changed cell does not hide which statement it is."""
    place = rows[0].index("statement")
    named = [row[place] for row in rows[1:] if len(row) > place]
    return max(dict.fromkeys(named), key=named.count, default="")


def differences(
    sheet: str, columns: Sequence[str], found: Iterable[Sequence[Any]], kept: Iterable[Sequence[Any]]
) -> Iterator[str]:
    """Say row by row and column by column what is not as it was kept; rows count from 1, the head being row 1."""
    for number, (here, there) in enumerate(zip_longest(found, kept), 1):
        where = f"{sheet}row {number}"
        if here is None or there is None:
            yield f"{where}: {'it is missing in the file' if here is None else 'the statement has no such row'}"
            continue
        for place, (mine, theirs) in enumerate(zip_longest(here, there)):
            if mine != theirs:
                column = columns[place] if place < len(columns) else f"number {place + 1}"
                yield f"{where}, column {column}: the file says {_said(mine)}, the statement {_said(theirs)}"


def _said(cell: object) -> str:
    return "nothing" if cell in (None, "") else repr(cell) if isinstance(cell, str) else str(cell)
