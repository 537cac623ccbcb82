"""Holding a statement's workbook against what was frozen: which cell of which sheet does not match."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from datetime import date, datetime, tzinfo
from typing import Any
from zipfile import BadZipFile, ZipFile

from openpyxl import load_workbook
from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.hours.checking import Checked, differences, ledger_faults, statement_named
from mentor_training.hours.frozen import lines_of
from mentor_training.hours.spreadsheet import (
    ABOUT,
    LINES,
    SUMS,
    about_rows,
    line_cells,
    statement_xlsx,
    sum_rows,
    total_cells,
)
from mentor_training.hours.spreadsheet import LINE_COLUMNS as LINE_HEADS
from mentor_training.hours.spreadsheet import SUM_COLUMNS as SUM_HEADS
from mentor_training.hours.stated import sums_in
from mentor_training.hours.tables import Statement

MOST_UNPACKED = 500_000_000


def check_workbook(db: Session, content: bytes, zone: tzinfo) -> Checked:
    """Hold a statement's workbook against what was frozen, sheet by sheet, the row of sums with them."""
    book = _opened(content)
    about = {str(head): text for head, text, *_ in _cells(book, ABOUT, 2)}
    row = statement_named(db, str(about.get("Statement of hours") or ""))
    found = list(ledger_faults(db, row))
    found += differences("sheet About, ", ("A", "B"), _cells(book, ABOUT, 2), about_rows(row, zone))
    heads = [one.head for one in SUM_HEADS]
    kept = [tuple(heads), *map(_plain, sum_rows(row)), ("Sum", None, None, *(value for _, value in _totals(row)))]
    found += differences("sheet Sums, ", heads, _sums_found(book, content, row), kept)
    heads = [one.head for one in LINE_HEADS]
    lines = (_plain(line_cells(one)) for one in lines_of(db, row))
    found += differences("sheet Lines, ", heads, _cells(book, LINES, len(heads)), [tuple(heads), *lines])
    return Checked(row.number, "workbook", content == statement_xlsx(db, row, zone), tuple(found))


def _totals(row: Statement) -> tuple[tuple[str, int | float], ...]:
    return total_cells(sums_in(row.body))


def _sums_found(book: Any, content: bytes, row: Statement) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of the sheet of sums, a formula of the statement's own as what it gives.

    That is what the file itself shows for it; where it was saved without, the spreadsheet works it out anew. Any other
    formula stays one, and so differs.
    """
    formulas = dict(_totals(row))
    width = len(SUM_HEADS)
    shown = _cells(load_workbook(io.BytesIO(content), data_only=True), SUMS, width)
    for cells, values in zip(_cells(book, SUMS, width), shown, strict=True):
        yield tuple(
            cell if cell not in formulas else formulas[cell] if value is None else value
            for cell, value in zip(cells, values, strict=True)
        )


def _opened(content: bytes) -> Any:
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
