"""CSV in and out against RFC 4180 and against the published pairs of OWASP's page on CSV injection."""

from __future__ import annotations

import csv
import io

import pytest

from mentor_training.csv_form import Cells, each_row, read_rows, write_for_spreadsheets, write_in_pieces, write_rows


def records(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_the_rfcs_own_examples_are_read_as_it_says() -> None:
    """RFC 4180 section 2, rules 5 to 7: a line break and a doubled quote inside a quoted field."""
    cells, problems = read_rows('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', ("aaa", "b\r\nbb", "ccc"))
    assert problems == []
    assert list(cells[0].cells.values()) == ["zzz", "yyy", "xxx"]
    cells, problems = read_rows('x,y,z\r\n"aaa","b""bb","ccc"\r\n', ("x", "y", "z"))
    assert problems == []
    assert list(cells[0].cells.values()) == ["aaa", 'b"bb', "ccc"]


def test_a_line_ends_with_the_rfcs_line_break_and_with_no_other_character() -> None:
    """RFC 4180 section 2, rules 1 and 2: CRLF, the last one optional. Other characters that end lines are text."""
    text = "x,y\r\n\u2028a\x0b,b\x85\x1c\r\nc,d"
    assert [list(one.cells.values()) for one in read_rows(text, ("x", "y"))[0]] == [
        ["\u2028a\x0b", "b\x85\x1c"],
        ["c", "d"],
    ]


def test_rows_come_one_by_one_and_what_is_wrong_in_between() -> None:
    """So that a long file is never held whole; a quote that never ends is told where the file ends."""
    rows = each_row('x,y\n1,2\n3\n"5,6\n', ("x", "y"))
    first, second, third = next(rows), next(rows), next(rows)
    assert isinstance(first, Cells)
    assert (first.number, first.cells) == (2, {"x": "1", "y": "2"})
    assert str(second) == "row 3: it has 1 cells, the header 2; check commas and quotes"
    assert "this is not CSV" in str(third)
    assert list(rows) == []


@pytest.mark.parametrize("size", [1, 2, 3, 1000])
def test_what_is_written_in_pieces_is_what_is_written_at_once(size: int) -> None:
    """However long the pieces are, and where the rows run out."""
    rows = [(number, f'a "{number}"') for number in range(5)]
    assert "".join(write_in_pieces(("x", "y"), rows, size)) == write_rows(("x", "y"), rows)


def test_what_is_written_ends_its_lines_and_quotes_its_fields_as_the_rfc_says() -> None:
    """RFC 4180 section 2: CRLF after every record; commas, quotes and line breaks quoted, quotes doubled."""
    assert write_rows(("aaa", 'b"bb', "c,c", "d\r\nd", "e"), []) == 'aaa,"b""bb","c,c","d\r\nd",e\r\n'


def test_blanks_are_part_of_a_field() -> None:
    """RFC 4180 section 2, rule 4."""
    assert records(write_rows((" a ", "b"), [])) == [[" a ", "b"]]


@pytest.mark.parametrize(
    ("cell", "safe"), [('=1+2";=1+2', '''"'=1+2"";=1+2"'''), ("""=1+2'" ;,=1+2""", '''"'=1+2'"" ;,=1+2"''')]
)
def test_the_published_attacks_are_made_safe_as_published(cell: str, safe: str) -> None:
    """OWASP, CSV Injection (August 2025): both pairs of the page."""
    assert write_for_spreadsheets(("x",), [(cell,)]) == f'"x"\r\n{safe}\r\n'


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_no_text_cell_begins_like_a_formula(start: str) -> None:
    """OWASP, CSV Injection: equals, plus, minus, at, tab, carriage return and, since August 2025, line feed."""
    assert records(write_for_spreadsheets(("x",), [(start + "1",)]))[1] == ["'" + start + "1"]


def test_numbers_stay_numbers_and_harmless_texts_stay_themselves() -> None:
    """Only text cells are changed: a negative figure is no formula, and neither is a hyphen inside a name."""
    assert write_for_spreadsheets(("a", "b"), [(-30, "Smith-Jones")]) == '"a","b"\r\n-30,"Smith-Jones"\r\n'
