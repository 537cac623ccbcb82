"""Holding a file against what was frozen: which cell of which row is not what the statement says."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from itertools import zip_longest
from typing import Any
from zipfile import BadZipFile, ZipFile

from sqlalchemy.orm import Session

from mentor_training.errors import NotFound, Refused
from mentor_training.hours.frozen import hash_of, lines_of, pieces_of_lines
from mentor_training.hours.lines import LINE_COLUMNS
from mentor_training.hours.spreadsheet import ABOUT, LINES, SUMS, about_rows, line_cells, sum_rows
from mentor_training.hours.spreadsheet import LINE_COLUMNS as LINE_HEADS
from mentor_training.hours.spreadsheet import SUM_COLUMNS as SUM_HEADS
from mentor_training.hours.stated import COLUMNS as SUM_COLUMNS
from mentor_training.hours.tables import Statement
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import entries

MOST_UNPACKED = 500_000_000
MOST_TOLD = 100


@dataclass(frozen=True)
class Checked:
    """What was found: the statement, whether it is the same to the byte, and what does not match."""

    number: str
    what: str
    same_bytes: bool
    differences: tuple[str, ...]


def check_file(db: Session, content: bytes, zone: tzinfo) -> Checked:
    """Hold a CSV or XLSX that claims to be a statement against what was frozen under its number.

    NotFound for a number that was never given; Refused for what is no statement of hours.
    """
    return _check_workbook(db, content, zone) if content[:2] == b"PK" else _check_csv(db, content)


def ledger_faults(db: Session, row: Statement) -> Iterator[str]:
    """Say where what is kept here does not fit its own hashes, or the journal's entry about it."""
    told = next((one.record for one in entries(db, subject=row.number, kind="statement")), "")
    if digest(row.body) != row.hash or f'"hash":"{row.hash}"' not in told:
        yield "what is kept here of its sums does not fit the hash that the journal holds"
    if row.lines_hash and (
        hash_of(pieces_of_lines(db, row.number)) != row.lines_hash or f'"lines_hash":"{row.lines_hash}"' not in told
    ):
        yield "what is kept here of its lines does not fit the hash that the journal holds"


def _statement(db: Session, number: str) -> Statement:
    row = db.get(Statement, number)
    if row is None:
        raise NotFound(f"statement {number or 'without a number'}")
    return row


# ---- CSV ----


def _check_csv(db: Session, content: bytes) -> Checked:
    try:
        text = content.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error) as error:
        raise Refused(f"This is no statement of hours: it cannot be read as CSV in UTF-8 ({error}).") from None
    if len(rows) < 2 or not rows[1] or "statement" not in rows[0]:
        raise Refused(f"This is no statement of hours: the first row would be {','.join(SUM_COLUMNS)}.")
    row = _statement(db, _most_named(rows))
    is_lines = len(set(rows[0]) & set(LINE_COLUMNS)) > len(set(rows[0]) & set(SUM_COLUMNS))
    frozen = "".join(pieces_of_lines(db, row.number)) if is_lines else row.body
    kept = list(csv.reader(io.StringIO(frozen, newline="")))
    found = [*ledger_faults(db, row), *differences("", LINE_COLUMNS if is_lines else SUM_COLUMNS, rows, kept)]
    same = content == frozen.encode("utf-8")
    return Checked(row.number, "lines as CSV" if is_lines else "sums as CSV", same, tuple(found))


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


# ---- workbooks ----


def _check_workbook(db: Session, content: bytes, zone: tzinfo) -> Checked:
    from mentor_training.hours.spreadsheet import statement_xlsx

    book = _opened(content)
    about = {str(head): text for head, text, *_ in _cells(book, ABOUT, 2)}
    row = _statement(db, str(about.get("Statement of hours") or ""))
    found = list(ledger_faults(db, row))
    found += differences("sheet About, ", ("A", "B"), _cells(book, ABOUT, 2), about_rows(row, zone))
    sums = list(_cells(book, SUMS, len(SUM_HEADS)))
    heads = [one.head for one in SUM_HEADS]
    # The last row holds sums of the others; a spreadsheet works them out anew.
    found += differences("sheet Sums, ", heads, sums[:-1], [tuple(heads), *map(_plain, sum_rows(row))])
    heads = [one.head for one in LINE_HEADS]
    kept = (_plain(line_cells(one)) for one in lines_of(db, row))
    found += differences("sheet Lines, ", heads, _cells(book, LINES, len(heads)), [tuple(heads), *kept])
    return Checked(row.number, "workbook", content == statement_xlsx(db, row, zone), tuple(found))


def _opened(content: bytes) -> Any:
    from openpyxl import load_workbook

    try:
        with ZipFile(io.BytesIO(content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise Refused("This workbook is too large to be a statement of hours.")
        book = load_workbook(io.BytesIO(content), data_only=False)
    except (BadZipFile, KeyError, ValueError, OSError) as error:
        raise Refused(f"This is no statement of hours: it cannot be read as a workbook ({error}).") from None
    if missing := [name for name in (ABOUT, SUMS, LINES) if name not in book.sheetnames]:
        raise Refused(f"This is no statement of hours: the sheet {missing[0]} is missing.")
    return book


def _cells(book: Any, sheet: str, width: int) -> Iterator[tuple[Any, ...]]:
    """Yield the cells of a sheet, days as days, empty cells as None; cells beyond the columns stand there as well."""
    for cells in book[sheet].iter_rows(values_only=True):
        yield _plain(cells if len(cells) >= width else (*cells, *[None] * (width - len(cells))))


def _plain(cells: Iterable[Any]) -> tuple[Any, ...]:
    """Return cells such as both sides have them: a day is a day, and an empty text is nothing."""
    return tuple(_midnight(cell) if isinstance(cell, date) else None if cell == "" else cell for cell in cells)


def _midnight(cell: date) -> datetime:
    return cell if isinstance(cell, datetime) else datetime(cell.year, cell.month, cell.day)  # noqa: DTZ001
