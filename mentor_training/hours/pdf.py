"""A statement on paper: what was frozen, laid out for a registrar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from decimal import Decimal

from sqlalchemy.orm import Session

from mentor_training.hours.frozen import Called, called, lines_of, pieces_of_lines
from mentor_training.hours.lines import Line
from mentor_training.hours.queries import entries_on
from mentor_training.hours.rules import in_hours
from mentor_training.hours.stated import StatedSum, sums_in
from mentor_training.hours.tables import Statement
from mentor_training.program.catalog import CATEGORIES
from mentor_training.program.queries import require_edition
from mentor_training.web.display import show_moment
from mentor_training.web.pdf import fill, form_of, render_pdf

# More lines than these nobody reads on paper; they stand in the CSV and the workbook.
MOST_ON_PAPER = 600
TEMPLATE = "hours/_statement_print.html"
SHEETS = {"letter": ("pdf.css",), "a4": ("pdf.css", "a4.css")}


@dataclass(frozen=True)
class PersonLine:
    """One volunteer's line: the stated hours of each category, `none` where there are none, and their sum."""

    person: str
    name: str
    stated: tuple[Decimal | str, ...]
    total: Decimal


def statement_pdf(db: Session, row: Statement, program: str, zone: tzinfo, size: str = "letter") -> bytes:
    """Return a statement as PDF, made to be kept (PDF/A-3), with its CSV files in it.

    The figures come from its frozen CSV, so that both always say the same.
    """
    sheets = SHEETS[size]
    body = _body(db, row, called(db, row, program, zone))
    made_by = form_of(TEMPLATE, sheets, ("_print.html",))
    return render_pdf(body, f"Statement of hours {row.number}", sheets, attached=attached_to(db, row), made_by=made_by)


def attached_to(db: Session, row: Statement) -> dict[str, bytes]:
    """Return the files that a statement's PDF carries, by name: the CSV of its sums, and that of its lines."""
    files = {f"{row.number}.csv": row.body.encode("utf-8")}
    if row.lines_hash:
        files[f"{row.number}-lines.csv"] = "".join(pieces_of_lines(db, row.number)).encode("utf-8")
    return files


def _body(db: Session, row: Statement, named: Called) -> str:
    sums, entries = sums_in(row.body), entries_on(db, row.number)
    categories = sorted({one.category for one in sums}, key=CATEGORIES.index)
    minutes = sum(one.minutes for one in sums)
    return fill(
        TEMPLATE,
        program=named.program,
        number=row.number,
        section=row.section,
        course=_course(db, row),
        first_day=min(one.day for one in entries),
        through=row.through,
        made=show_moment(row.made_at, named.zone),
        made_by=named.person(row.made_by),
        approvers=[named.person(code) for code in sorted({one.approved_by for one in entries})],
        rule=row.rule,
        categories=categories,
        people=_people(sums, categories),
        category_totals=[_stated(one for one in sums if one.category == name) for name in categories],
        sums=sums,
        **_lines(db, row),
        total_entries=sum(one.entries for one in sums),
        total_minutes=minutes,
        total_hours=in_hours(minutes),
        total_stated=_stated(sums),
        hash=row.hash,
        lines_hash=row.lines_hash,
        journal_head=row.journal_head,
    )


def _lines(db: Session, row: Statement) -> dict[str, list[Line]]:
    """Return the lines that correct others, and all of them where they are few enough for paper."""
    corrections: list[Line] = []
    all_of_them: list[Line] = []
    for one in lines_of(db, row):
        if one.corrects:
            corrections.append(one)
        if len(all_of_them) <= MOST_ON_PAPER:
            all_of_them.append(one)
    few = len(all_of_them) <= MOST_ON_PAPER
    return {"corrections": corrections[:MOST_ON_PAPER], "lines": all_of_them if few else []}


def _people(sums: Sequence[StatedSum], categories: Sequence[str]) -> list[PersonLine]:
    lines = []
    for code in dict.fromkeys(one.person for one in sums):
        mine = {one.category: one for one in sums if one.person == code}
        stated = tuple(mine[name].stated if name in mine else "none" for name in categories)
        lines.append(PersonLine(code, next(iter(mine.values())).name, stated, _stated(mine.values())))
    return lines


def _stated(sums: Iterable[StatedSum]) -> Decimal:
    return sum((one.stated for one in sums), Decimal("0.00"))


def _course(db: Session, row: Statement) -> str:
    course = require_edition(db, row.through, row.made_at).program.courses[row.course]
    return f"{course.code}, {course.title}, {course.credits:g} credits"
