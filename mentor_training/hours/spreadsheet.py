"""A statement as a workbook (Office Open XML): numbers are numbers, days are days, and a sum shows what it adds up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from io import BytesIO
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.hours.frozen import lines_of, zone_of
from mentor_training.hours.lines import Line
from mentor_training.hours.rules import in_hours
from mentor_training.hours.stated import StatedSum, sums_in
from mentor_training.hours.tables import Statement

ABOUT, SUMS, LINES = "About", "Sums", "Lines"
NUMBER, HOURS, DAY, CLOCK = "0", "0.00", "yyyy-mm-dd", "yyyy-mm-dd hh:mm"


@dataclass(frozen=True)
class Column:
    """A column: its head, its width in characters, and the form of its numbers, empty for text."""

    head: str
    width: int
    form: str = ""


SUM_COLUMNS = (
    Column("Volunteer", 11), Column("Name", 28), Column("Category", 13), Column("Lines", 7, NUMBER),
    Column("Minutes", 9, NUMBER), Column("Hours", 9, HOURS), Column("Hours stated", 13, HOURS),
)  # fmt: skip
LINE_COLUMNS = (
    Column("Entry", 8, NUMBER), Column("Volunteer", 11), Column("Name", 26), Column("Category", 13),
    Column("Day", 12, DAY), Column("Kind", 12), Column("About", 22), Column("Came", 17, CLOCK),
    Column("Left", 17, CLOCK), Column("Minutes", 9, NUMBER), Column("Corrects entry", 14, NUMBER),
    Column("of statement", 15), Column("Reason", 40), Column("Approved by", 12),
)  # fmt: skip
Cell = str | int | float | date | None


def statement_xlsx(db: Session, row: Statement, zone: tzinfo) -> bytes:
    """Return a statement as a workbook of three sheets, row by row from what was frozen; the same bytes each time."""
    import xlsxwriter

    out = BytesIO()
    options = {
        "constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False,
    }  # fmt: skip
    with xlsxwriter.Workbook(out, options) as book:
        # The moment is the statement's own: a workbook made again is the same to the byte.
        book.set_properties({"title": f"Statement of hours {row.number}", "created": row.made_at.astimezone(UTC)})
        book.set_size(1600, 1000)
        _about(book, row, zone)
        sums = sums_in(row.body)
        sheet = _sheet(book, SUMS, SUM_COLUMNS, row.number)
        last = _fill(book, sheet, SUM_COLUMNS, (_sum_cells(one) for one in sums))
        _total(book, sheet, last, sums)
        sheet = _sheet(book, LINES, LINE_COLUMNS, row.number)
        last = _fill(book, sheet, LINE_COLUMNS, (line_cells(one) for one in lines_of(db, row)))
        sheet.autofilter(0, 0, last, len(LINE_COLUMNS) - 1)
    return out.getvalue()


def about_rows(row: Statement, zone: tzinfo) -> list[tuple[str, str]]:
    """Return what the first sheet says of a statement."""
    zone = zone_of(row, zone)
    made = f"{row.made_at.astimezone(zone):%Y-%m-%d %H:%M %Z}"
    return [
        ("Statement of hours", row.number), ("Course", row.course), ("Section", row.section),
        ("Hours through", row.through.isoformat()), ("Made", made),
        ("Made by", row.made_by), ("Rounding", row.rule), ("Clock times", f"Of the time zone {zone}."),
        ("SHA-256 of the CSV of sums", row.hash), ("SHA-256 of the CSV of lines", row.lines_hash or "none kept"),
        ("Journal head", row.journal_head),
    ]  # fmt: skip


def _about(book: Any, row: Statement, zone: tzinfo) -> None:
    sheet = book.add_worksheet(ABOUT)
    bold, plain = book.add_format({"bold": True, "valign": "top"}), book.add_format({"text_wrap": True})
    sheet.set_column(0, 0, 28)
    sheet.set_column(1, 1, 72)
    _print_set_up(sheet, row.number)
    for place, (head, text) in enumerate(about_rows(row, zone)):
        sheet.write_string(place, 0, head, bold)
        sheet.write_string(place, 1, text, plain)


def _sheet(book: Any, name: str, columns: Iterable[Column], number: str) -> Any:
    sheet = book.add_worksheet(name)
    left, right = (
        book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top", "align": side})
        for side in ("left", "right")
    )
    for place, column in enumerate(columns):
        sheet.set_column(place, place, column.width)
        sheet.write_string(0, place, column.head, right if column.form in (NUMBER, HOURS) else left)
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    _print_set_up(sheet, number)
    return sheet


def _print_set_up(sheet: Any, number: str) -> None:
    """Landscape on Letter, as wide as the page, and on each page which statement and which page it is."""
    sheet.set_landscape()
    sheet.set_paper(1)
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.set_footer(f"&L{number}&C&A&RPage &P of &N")


def _fill(book: Any, sheet: Any, columns: tuple[Column, ...], rows: Iterable[tuple[Cell, ...]]) -> int:
    """Write rows of cells under the head and return the last row's number, 0 where there is none."""
    forms = [book.add_format({"num_format": one.form}) if one.form else None for one in columns]
    number = 0
    for number, cells in enumerate(rows, 1):
        for place, cell in enumerate(cells):
            if cell is None or cell == "":
                continue
            if isinstance(cell, str):
                sheet.write_string(number, place, cell, forms[place])
            elif isinstance(cell, date):
                sheet.write_datetime(number, place, cell, forms[place])
            else:
                sheet.write_number(number, place, cell, forms[place])
    return number


def _total(book: Any, sheet: Any, last: int, sums: tuple[StatedSum, ...]) -> None:
    """Write the sums below, as formulas that anybody can follow, with the values that they have."""
    sheet.write_string(last + 1, 0, "Sum", book.add_format({"bold": True, "top": 1}))
    for place in (1, 2):
        sheet.write_blank(last + 1, place, None, book.add_format({"top": 1}))
    for place, (formula, value) in enumerate(total_cells(sums), 3):
        form = book.add_format({"bold": True, "top": 1, "num_format": SUM_COLUMNS[place].form})
        sheet.write_formula(last + 1, place, formula, form, value)


def total_cells(sums: Sequence[StatedSum]) -> tuple[tuple[str, int | float], ...]:
    """Return the formulas of the last row of the sheet of sums, from the fourth column on, each with what it gives."""
    last, minutes = len(sums) + 1, sum(one.minutes for one in sums)
    return (
        (f"=SUM(D2:D{last})", sum(one.entries for one in sums)),
        (f"=SUM(E2:E{last})", minutes),
        # Hours come from the sum of minutes, for sums of what is shown to two decimals would drift.
        (f"=ROUND(E{last + 1}/60,2)", float(in_hours(minutes))),
        (f"=SUM(G2:G{last})", float(sum(one.stated for one in sums))),
    )


def _sum_cells(one: StatedSum) -> tuple[Cell, ...]:
    return one.person, one.name, one.category, one.entries, one.minutes, float(one.hours), float(one.stated)


def line_cells(one: Line) -> tuple[Cell, ...]:
    """Return the cells of a line; clock times as the program's wall clock showed them, for a sheet knows no zone."""
    return (
        one.entry, one.person, one.name, one.category, one.day, one.kind, one.about, _wall(one.came), _wall(one.left),
        one.minutes, one.corrects, one.corrects_on, one.reason, one.approved_by,
    )  # fmt: skip


def _wall(written: str) -> datetime | None:
    return datetime.fromisoformat(written).replace(tzinfo=None) if written else None


def sum_rows(row: Statement) -> Iterator[tuple[Cell, ...]]:
    """Yield the rows of the sheet of sums."""
    yield from (_sum_cells(one) for one in sums_in(row.body))
