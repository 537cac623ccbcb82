"""A statement's files: its lines, its workbook read back by another library, and what `verify` says of changed ones."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from openpyxl import load_workbook

from mentor_training.csv_form import safe_text, write_quoted
from mentor_training.hours.actions import approve
from tests.builders import NOON, World
from tests.hours.term import (
    INSTRUCTOR,
    book_of,
    lines_of,
    serve,
    two_statements,
)
from tests.sign_in import Visitor


@pytest.fixture
def term(world: World) -> World:
    return two_statements(world)


# ---- lines ----


def test_a_correction_is_a_line_of_its_own_on_the_next_statement_and_names_what_it_corrects(term: World) -> None:
    """The first statement stays as it was; the second has the difference, its reason, and where the first line is."""
    first, second = (list(csv.DictReader(io.StringIO(lines_of(term, number).decode(), newline="")))
                     for number in ("ST-2026-0001", "ST-2026-0002"))  # fmt: skip
    assert [(row["entry"], row["kind"], row["minutes"], row["corrects"]) for row in first] == [
        ("1", "session", "97", ""), ("2", "session", "60", ""),
    ]  # fmt: skip
    correction = next(row for row in second if row["kind"] == "adjustment")
    assert (correction["minutes"], correction["corrects"], correction["corrects_on"]) == ("-15", "1", "ST-2026-0001")
    assert correction["reason"] == "'=Left early, said so."
    assert (first[0]["day"], first[0]["came"][:10], first[0]["approved_by"]) == ("2026-09-01", "2026-09-01", "i-01")


def test_every_line_ends_with_cr_lf_and_minus_fifteen_stays_a_number(term: World) -> None:
    """RFC 4180; what is a figure is no text, so nothing is put in front of it."""
    text = lines_of(term, "ST-2026-0002").decode()
    assert text.count("\n") == text.count("\r\n") == 3
    assert ",-15,1," in text


@pytest.mark.parametrize(
    ("typed", "written"),
    [('=1+2";=1+2', '''"'=1+2"";=1+2"'''), ("=1+2'\" ;,=1+2", '''"'=1+2'"" ;,=1+2"''')],
)
def test_the_published_pairs_of_formula_injection_are_written_as_published(typed: str, written: str) -> None:
    """OWASP, CSV Injection (page of Aug 2025): the two pairs of that page, quote for quote."""
    assert "".join(write_quoted(("name",), [(safe_text(typed),)])).splitlines()[1] == written


# ---- the workbook ----


def test_a_workbook_read_back_by_another_library_has_real_numbers_and_days(term: World) -> None:
    """Not texts that look like them; a name that looks like a formula stays a text; the head is frozen and printed."""
    book = load_workbook(io.BytesIO(book_of(term, "ST-2026-0002")))
    assert book.sheetnames == ["About", "Sums", "Lines"]
    lines = book["Lines"]
    rows = list(lines.iter_rows(min_row=2, values_only=True))
    correction = next(row for row in rows if row[5] == "adjustment")
    assert (correction[9], correction[10], correction[11]) == (-15, 1, "ST-2026-0001")
    assert isinstance(correction[9], int)
    assert (type(correction[4]), f"{correction[4]:%Y-%m-%d}") == (datetime, "2026-09-01")
    assert {cell.data_type for row in lines.iter_rows(min_row=2) for cell in row} <= {"s", "n", "d"}
    assert correction[12] == "=Left early, said so."
    for sheet in (book["Sums"], lines):
        assert sheet.freeze_panes == "A2"
        assert sheet.print_title_rows == "$1:$1"
        assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert lines.auto_filter.ref == "A1:N3"


def test_the_sums_of_a_workbook_are_formulas_that_give_what_is_stated(term: World) -> None:
    """Minutes add up; hours come from the sum of minutes; the values stand beside the formulas for who only reads."""
    content = book_of(term, "ST-2026-0001")
    formulas, values = (load_workbook(io.BytesIO(content), data_only=only)["Sums"] for only in (False, True))
    assert [cell.value for cell in formulas[3]][3:] == ["=SUM(D2:D2)", "=SUM(E2:E2)", "=ROUND(E3/60,2)", "=SUM(G2:G2)"]
    assert [cell.value for cell in values[3]][3:] == [2, 157, 2.62, 2.5]


def test_a_workbook_made_again_is_the_same_to_the_byte(term: World) -> None:
    """Its moment is the statement's, not that of the making."""
    one = book_of(term, "ST-2026-0001")
    term.clock.moment = NOON + timedelta(days=400)
    assert book_of(term, "ST-2026-0001") == one


# ---- pages ----


def test_pages_give_the_lines_and_the_workbook_and_offer_to_approve_first(
    term: World, visitor: Callable[[str], Visitor]
) -> None:
    """The files are those of the command; what waits is said where a statement is prepared, with both ways on."""
    client = visitor("i-01")
    assert client.get("/hours/statements/ST-2026-0001-lines.csv").data == lines_of(term, "ST-2026-0001")
    assert client.get("/hours/statements/ST-2026-0001.xlsx").data == book_of(term, "ST-2026-0001")
    ready = serve(term, "v-002", 30)
    with term.writing() as db:
        approve(db, NOON, INSTRUCTOR, [ready])
    serve(term, "v-001", 60)
    page = client.get("/hours/sections/KIN-372-A/statement").text
    assert "will not be on it: Odalys Brannagh (v-001) 1." in page
    assert "and approve first" in page
    assert "Make the statement without what waits" in page
