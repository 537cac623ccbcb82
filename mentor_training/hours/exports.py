"""Hours as files: a statement as CSV, workbook and PDF, a log and a section's sums as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, tzinfo
from pathlib import Path

from sqlalchemy.orm import Session

from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.hours.frozen import pieces_of_lines
from mentor_training.hours.looking_ahead import Standing
from mentor_training.hours.pdf import statement_pdf
from mentor_training.hours.queries import Log
from mentor_training.hours.rules import in_hours, standing_of
from mentor_training.hours.spreadsheet import statement_xlsx
from mentor_training.hours.tables import Statement
from mentor_training.hours.toward import OUTLOOKS

LOG_COLUMNS = (
    "entry", "volunteer", "day", "category", "what", "came", "left", "minutes", "hours",
    "standing", "flag", "reason", "corrects",
)  # fmt: skip
SUM_COLUMNS = (
    "volunteer", "name", "section", "category", "required_minutes", "approved_minutes", "waiting_minutes",
    "over_a_cap_minutes", "missing_minutes", "approved_hours",
)  # fmt: skip

AHEAD_COLUMNS = (
    "volunteer", "name", "section", "category", "required_minutes", "done_minutes", "approved_minutes",
    "planned_minutes", "still_needed_minutes", "short_minutes", "by_plan", "by_pace", "outlook",
)  # fmt: skip


def statement_csv(row: Statement) -> bytes:
    """Return a statement's CSV, byte for byte as it was frozen."""
    return row.body.encode("utf-8")


def write_statement(
    db: Session, row: Statement, folder: Path, program: str, zone: tzinfo, size: str = "letter"
) -> Iterator[Path]:
    """Write a statement's CSV, workbook and PDF into a folder, each path yielded once it is there; the PDF comes last.

    What a missing Pango keeps from being made is then the PDF alone.
    """
    folder.mkdir(parents=True, exist_ok=True)
    table = folder / f"{row.number}.csv"
    table.write_bytes(statement_csv(row))
    yield table
    if row.lines_hash:
        yield _write_lines(db, row, folder / f"{row.number}-lines.csv")
    book = folder / f"{row.number}.xlsx"
    book.write_bytes(statement_xlsx(db, row, zone))
    yield book
    paper = folder / f"{row.number}.pdf"
    paper.write_bytes(statement_pdf(db, row, program, zone, size))
    yield paper


def _write_lines(db: Session, row: Statement, path: Path) -> Path:
    with path.open("wb") as out:
        out.writelines(lines_csv(db, row.number))
    return path


def lines_csv(db: Session, number: str) -> Iterator[bytes]:
    """Yield the CSV of a statement's lines piece by piece, byte for byte as it was frozen."""
    return (piece.encode("utf-8") for piece in pieces_of_lines(db, number))


def log_csv(log: Log, titles: Mapping[str, str], zone: tzinfo) -> bytes:
    """Return one volunteer's log as CSV; clock times are those of the program's zone."""
    rows = (
        (
            one.id, one.person, one.day.isoformat(), one.category, titles.get(one.about, one.about),
            _clock(one.came, zone), _clock(one.left, zone), one.minutes, in_hours(one.minutes),
            standing_of(one, log.over), one.flag, one.reason, one.corrects or "",
        )
        for one in log.entries
    )  # fmt: skip
    return write_for_spreadsheets(LOG_COLUMNS, rows).encode("utf-8")


def sums_csv(logs: Iterable[Log]) -> bytes:
    """Return the sums of some volunteers as CSV, a row for each volunteer and category."""
    rows = (
        (
            log.person, log.name, log.section, one.category, one.required, one.approved, one.waiting, one.over,
            one.missing, in_hours(one.approved),
        )
        for log in logs
        for one in log.sums
    )  # fmt: skip
    return write_for_spreadsheets(SUM_COLUMNS, rows).encode("utf-8")


def ahead_csv(standings: Iterable[Standing]) -> bytes:
    """Return where volunteers stand toward their requirement as CSV, a row for each volunteer and category."""
    rows = (
        (
            each.log.person, each.log.name, each.log.section, one.category, one.required, one.done, one.approved,
            one.planned, one.needed, one.short, one.by_plan or "", one.by_pace or "", OUTLOOKS[one.outlook],
        )
        for each in standings
        for one in each.ahead
    )  # fmt: skip
    return write_for_spreadsheets(AHEAD_COLUMNS, rows).encode("utf-8")


def _clock(moment: datetime | None, zone: tzinfo) -> str:
    return moment.astimezone(zone).isoformat(timespec="minutes") if moment else ""
