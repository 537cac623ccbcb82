"""What `statements verify` says of a statement that came back: CSV, workbook and PDF, whole and tampered with."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pytest
from openpyxl import load_workbook

from mentor_training.errors import NotFound, Refused
from tests.builders import World
from tests.hours.term import (
    book_of,
    lines_of,
    sums_of,
    two_statements,
    verify,
)


@pytest.fixture
def term(world: World) -> World:
    return two_statements(world)


def test_what_was_stated_is_found_to_match(term: World, tmp_path: Path) -> None:
    """To the byte for each of the three files; and in every cell where a spreadsheet has saved it anew."""
    for name, content in (
        ("sums.csv", sums_of(term, "ST-2026-0001")),
        ("lines.csv", lines_of(term, "ST-2026-0002")),
        ("book.xlsx", book_of(term, "ST-2026-0002")),
    ):
        done = verify(term, tmp_path, name, content)
        assert done.exit_code == 0, done.output
        assert "it matches to the byte" in done.output
    out = io.BytesIO()
    load_workbook(io.BytesIO(book_of(term, "ST-2026-0002"))).save(out)
    done = verify(term, tmp_path, "again.xlsx", out.getvalue())
    assert (done.exit_code, "saved anew" in done.output) == (0, True), done.output
    plain = sums_of(term, "ST-2026-0001").replace(b"\r\n", b"\n")
    assert "in every cell" in verify(term, tmp_path, "plain.csv", plain).output


def test_a_changed_csv_is_named_by_row_and_column(term: World, tmp_path: Path) -> None:
    """What the file says and what was stated; a row that is missing, and one too many."""
    sums = sums_of(term, "ST-2026-0001")
    done = verify(term, tmp_path, "sums.csv", sums.replace(b",157,", b",175,"))
    assert done.exit_code == 1
    assert "row 2, column minutes: the file says '175', the statement '157'" in done.output
    lines = lines_of(term, "ST-2026-0001").splitlines(keepends=True)
    assert "row 3: it is missing in the file" in verify(term, tmp_path, "lines.csv", b"".join(lines[:2])).output
    assert (
        "row 4: the statement has no such row"
        in verify(term, tmp_path, "more.csv", b"".join([*lines, lines[1]])).output
    )
    other = lines[0] + lines[1].replace(b"ST-2026-0001", b"ST-2026-0007") + b"".join(lines[2:]) + lines[2]
    assert "row 2, column statement: the file says 'ST-2026-0007'" in verify(term, tmp_path, "other.csv", other).output


def test_a_changed_workbook_is_named_by_sheet_row_and_column(term: World, tmp_path: Path) -> None:
    """A figure, a day, a hash on the first sheet, and a column too many."""
    book = load_workbook(io.BytesIO(book_of(term, "ST-2026-0001")))
    book["Lines"]["J2"] = 197
    book["Lines"]["E3"] = date(2026, 9, 30)
    book["Sums"]["G2"] = 9.5
    book["About"]["B9"] = "0" * 64
    book["Sums"]["E3"] = 175
    book["Sums"]["D3"] = "=SUM(D2:D2)+1"
    book["Lines"]["P2"] = "more"
    out = io.BytesIO()
    book.save(out)
    done = verify(term, tmp_path, "book.xlsx", out.getvalue())
    assert done.exit_code == 1
    for said in (
        "sheet Lines, row 2, column Minutes: the file says 197, the statement 97",
        "sheet Lines, row 3, column Day: the file says 2026-09-30 00:00:00",
        "sheet Sums, row 2, column Hours stated: the file says 9.5, the statement 2.5",
        "sheet Sums, row 3, column Minutes: the file says 175, the statement 157",
        "sheet Sums, row 3, column Lines: the file says '=SUM(D2:D2)+1', the statement 2",
        "sheet About, row 9, column B",
        "sheet Lines, row 2, column number 16: the file says 'more', the statement nothing",
    ):
        assert said in done.output


@pytest.mark.parametrize(
    ("content", "error", "said"),
    [
        (b"person,name\r\nv-001,x\r\n", Refused, "no statement of hours"),
        (b"\xff\xfe", Refused, "UTF-8"),
        (b"PK\x03\x04 and no more", Refused, "cannot be read as a workbook"),
        (b"statement,minutes\r\nST-1999-0001,5\r\n", NotFound, "ST-1999-0001"),
    ],
)
def test_what_is_no_statement_is_refused_in_words(
    term: World, tmp_path: Path, content: bytes, error: type[Exception], said: str
) -> None:
    """A file of something else, and a number that was never given."""
    done = verify(term, tmp_path, "file", content)
    assert isinstance(done.exception, error)
    assert said in str(done.exception)
