"""Reading a roster's files as one set: every finding by file, row and column; pure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from mentor_training.csv_form import Cells, Problem, each_row
from mentor_training.people.rules import is_email
from mentor_training.roster.form import (
    ADDRESS,
    DAY,
    FILES,
    FREE,
    MANIFEST,
    MAY_BE_ABSENT,
    YES_OR_NO,
    Column,
)


@dataclass(frozen=True)
class Finding:
    """Something wrong in one of the files."""

    file: str
    problem: Problem

    def __str__(self) -> str:
        return f"{self.file}.csv: {self.problem}"


@dataclass
class Roster:
    """The rows of each file, by its name and then by their sourcedId."""

    rows: dict[str, dict[str, Cells]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def find(self, file: str, row: int, column: str, what: str, right: str) -> None:
        """Note something wrong."""
        self.findings.append(Finding(file, Problem(row, column, what, right)))

    def of(self, file: str) -> dict[str, Cells]:
        """Return the rows of a file, none where it is not there."""
        return self.rows.get(file, {})


def read_roster(texts: Mapping[str, str]) -> Roster:
    """Read a set of files, by their names without `.csv`; each reference must lead to a row of the set.

    Whole sets only (`bulk`): what has changed alone (`delta`) is refused, since nothing here remembers the set before.
    """
    roster = Roster()
    _look_at_manifest(roster, texts)
    for name, columns in FILES.items():
        if name in texts:
            roster.rows[name] = _rows(roster, name, texts[name], columns)
        elif name not in MAY_BE_ABSENT:
            roster.find(name, 1, "", "the file is missing", "a roster has one of each: " + ", ".join(_required()))
    for name, columns in FILES.items():
        for row in roster.of(name).values():
            _follow(roster, name, row, columns)
    return roster


def _required() -> tuple[str, ...]:
    return ("manifest", *(name for name in FILES if name not in MAY_BE_ABSENT))


def _look_at_manifest(roster: Roster, texts: Mapping[str, str]) -> None:
    if "manifest" not in texts:
        roster.find("manifest", 1, "", "the file is missing", "it says which files the set has")
        return
    said: dict[str, tuple[int, str]] = {}
    for row in each_row(texts["manifest"], MANIFEST):
        if isinstance(row, Problem):
            roster.findings.append(Finding("manifest", row))
        else:
            said[row.text("propertyName")] = row.number, row.text("value")
    for name, wanted in (("manifest.version", ("1.0",)), ("oneroster.version", ("1.2", "1.2.1"))):
        number, value = said.get(name, (1, ""))
        if value not in wanted:
            roster.find("manifest", number, "value", f"{name} is {value or 'missing'}", f"write {wanted[0]}")
    for name, (number, value) in said.items():
        file = name.removeprefix("file.")
        if file != name:
            _one_file(roster, number, file, value, file in texts)


def _one_file(roster: Roster, number: int, file: str, value: str, there: bool) -> None:
    if value not in ("absent", "bulk", "delta"):
        roster.find("manifest", number, "value", f"{value!r} is unknown", "write absent, bulk or delta")
    elif value == "delta" and file in FILES:
        roster.find("manifest", number, "value", f"{file} is a delta", "send the whole set (bulk)")
    elif value == "bulk" and not there and file in FILES:
        roster.find("manifest", number, "value", f"{file} is said to be there", f"add {file}.csv, or write absent")
    elif value == "absent" and there:
        roster.find("manifest", number, "value", f"{file} is said to be absent", f"write bulk, or take {file}.csv out")


def _rows(roster: Roster, name: str, text: str, columns: tuple[Column, ...]) -> dict[str, Cells]:
    header = next(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")), [])
    wanted = ("sourcedId", *(column.name for column in columns if not column.optional))
    missing = [column for column in wanted if column not in header]
    for column in missing:
        roster.find(name, 1, column, "this column is missing", "see OneRoster 1.2, CSV binding")
    found: dict[str, Cells] = {}
    # Columns that are not asked for are the registrar's business, such as metadata.*; they are passed over.
    for row in () if missing else each_row(text, header):
        if isinstance(row, Problem):
            roster.findings.append(Finding(name, row))
            continue
        _check(row, columns)
        code = row.needed("sourcedId")
        if code in found:
            row.problem("sourcedId", f"{code!r} stands in row {found[code].number} too", "each has one of its own")
        roster.findings += [Finding(name, problem) for problem in row.problems]
        found.setdefault(code, row)
    return found


def _check(row: Cells, columns: tuple[Column, ...]) -> None:
    for column in columns:
        if column.name not in row.cells:
            row.cells[column.name] = ""
        if column.kind == DAY:
            row.day(column.name)
        elif column.kind == ADDRESS:
            if not is_email(row.text(column.name).lower()):
                row.problem(column.name, f"{row.text(column.name)!r} is no e-mail address", "people sign in with it")
        elif column.kind == YES_OR_NO:
            _one_of(row, column.name, ("true", "false"))
        elif column.words:
            _one_of(row, column.name, column.words)
        elif column.kind != FREE and not column.optional:
            row.needed(column.name)


def _one_of(row: Cells, column: str, words: tuple[str, ...]) -> None:
    if row.text(column) not in words:
        row.problem(column, f"{row.text(column)!r} is unknown", f"write one of {', '.join(words)}")


def _follow(roster: Roster, name: str, row: Cells, columns: tuple[Column, ...]) -> None:
    """See that every reference of a row leads somewhere in the set, where the file it leads into is there."""
    for column in columns:
        if column.into and column.into in roster.rows:
            for code in codes_in(row, column):
                if code not in roster.of(column.into):
                    what = f"{code!r} is not in {column.into}.csv"
                    roster.find(name, row.number, column.name, what, "add it there, or mend it")


def codes_in(row: Cells, column: Column) -> Iterator[str]:
    """Yield the references of a cell; several stand in one cell joined by commas."""
    text = row.text(column.name)
    for code in text.split(",") if column.many else (text,):
        if code.strip():
            yield code.strip()
