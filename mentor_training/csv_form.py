"""CSV in and out (RFC 4180): every finding by row and column, and texts made safe for spreadsheets; pure."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from itertools import chain, islice

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,59}")
LONGEST_CELL = 10_000_000
# A line ends with CR LF, or with either alone; no other character ends one (RFC 4180 section 2).
LINE = re.compile(r"[^\r\n]*(?:\r\n?|\n)|[^\r\n]+")
# OWASP, CSV Injection: a text cell that begins with one of these would be taken for a formula.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True)
class Problem:
    """Something wrong in a file: where, what, and what would be right."""

    row: int
    column: str
    what: str
    right: str

    def __str__(self) -> str:
        where = f"row {self.row}" + (f", column {self.column}" if self.column else "")
        return f"{where}: {self.what}; {self.right}"


@dataclass
class Cells:
    """One row of a file and what is wrong with it. Rows count from 1, the header being row 1."""

    number: int
    cells: dict[str, str]
    problems: list[Problem] = field(default_factory=list)

    def problem(self, column: str, what: str, right: str) -> None:
        """Note something wrong."""
        self.problems.append(Problem(self.number, column, what, right))

    def text(self, column: str) -> str:
        """Return a cell without blanks around it."""
        return self.cells[column].strip()

    def needed(self, column: str) -> str:
        """Return a cell that must not be empty."""
        text = self.text(column)
        if not text:
            self.problem(column, "it is empty", "every row needs one")
        return text

    def code(self, column: str) -> str:
        """Return a code: letters and digits, with . _ - inside."""
        text = self.text(column)
        if not CODE.fullmatch(text):
            self.problem(column, f"{text!r} is no code", "write letters and digits such as v-014")
        return text

    def words(self, column: str, allowed: Iterable[str] | None = None) -> tuple[str, ...]:
        """Return a list joined by semicolons; each word must be one of the allowed, where that is known."""
        words = tuple(word.strip() for word in self.text(column).split(";") if word.strip())
        if allowed is not None:
            known = sorted(set(allowed))
            for word in words:
                if word not in known:
                    near = difflib.get_close_matches(word, known, 1)
                    right = f"did you mean {near[0]}?" if near else f"known are {', '.join(known) or 'none'}"
                    self.problem(column, f"{word!r} is unknown", right)
        for word in {word for word in words if words.count(word) > 1}:
            self.problem(column, f"{word!r} stands twice", "write it once")
        return words

    def day(self, column: str, optional: bool = False) -> date | None:
        """Return a day written YYYY-MM-DD."""
        text = self.text(column)
        if not text and optional:
            return None
        try:
            if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
                raise ValueError
            return date.fromisoformat(text)
        except ValueError:
            self.problem(column, f"{text!r} is no day", "write a day that exists as YYYY-MM-DD")
            return None

    def time(self, column: str) -> time | None:
        """Return a time written HH:MM."""
        text = self.text(column)
        try:
            if not re.fullmatch(r"\d{2}:\d{2}", text):
                raise ValueError
            return time.fromisoformat(text)
        except ValueError:
            self.problem(column, f"{text!r} is no time", "write it as HH:MM, from 00:00 to 23:59")
            return None

    def whole(self, column: str, least: int, most: int) -> int | None:
        """Return a whole number within bounds."""
        text = self.text(column)
        if not re.fullmatch(r"-?\d{1,9}", text) or not least <= int(text) <= most:
            self.problem(column, f"{text!r} does not fit", f"write a whole number from {least} to {most}")
            return None
        return int(text)

    def once(self, column: str, seen: dict[str, int], what: str) -> None:
        """Note a problem when the cell's value stood in an earlier row."""
        value = self.text(column).lower()
        if value in seen:
            self.problem(column, f"{what}: {value!r} stands in row {seen[value]} too", "keep one of them")
        elif value:
            seen[value] = self.number


def read_rows(text: str, columns: Sequence[str]) -> tuple[list[Cells], list[Problem]]:
    """Read a CSV with the given header, in any order of columns; findings name row and column."""
    found = list(each_row(text, columns))
    return [row for row in found if isinstance(row, Cells)], [one for one in found if isinstance(one, Problem)]


def each_row(text: str, columns: Sequence[str]) -> Iterator[Cells | Problem]:
    """Yield the rows of a CSV one by one, and what is wrong with the file in between; for files of any length."""
    # The library's own limit would keep out a cell that this program has written itself.
    csv.field_size_limit(max(LONGEST_CELL, csv.field_size_limit()))
    reader = csv.reader((line[0] for line in LINE.finditer(text.removeprefix("\ufeff"))), strict=True)
    try:
        first = next(reader, None)
        header = [name.strip() for name in first or ()]
        problems = [_empty(columns)] if first is None else _header_problems(header, columns)
        yield from problems
        for number, line in enumerate(() if problems else reader, 2):
            if not any(cell.strip() for cell in line):
                continue
            if len(line) != len(header):
                what = f"it has {len(line)} cells, the header {len(header)}"
                yield Problem(number, "", what, "check commas and quotes")
                continue
            yield Cells(number, dict(zip(header, line, strict=True)))
    except csv.Error as error:
        what, right = f"this is not CSV ({error})", "quote cells that hold commas or quotes"
        yield Problem(reader.line_num, "", what, right)


def _empty(columns: Sequence[str]) -> Problem:
    return Problem(1, "", "the file is empty", f"the first row is {','.join(columns)}")


def _header_problems(header: Sequence[str], columns: Sequence[str]) -> list[Problem]:
    wanted = f"the header is {','.join(columns)}"
    missing = [Problem(1, name, "this column is missing", wanted) for name in columns if name not in header]
    unknown = [Problem(1, name, "this column is unknown", wanted) for name in header if name not in columns]
    twice = [Problem(1, name, "this column stands twice", wanted) for name in set(header) if header.count(name) > 1]
    return missing + unknown + twice


def write_rows(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write rows by RFC 4180, as they are: for files that are read back by a program."""
    return "".join(write_in_pieces(columns, rows))


def write_in_pieces(columns: Sequence[str], rows: Iterable[Sequence[object]], size: int = 1000) -> Iterator[str]:
    """Write rows as `write_rows` does, in pieces of so many rows: for files longer than memory should hold."""
    left = chain((columns,), rows)
    while piece := list(islice(left, size)):
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\r\n").writerows(piece)
        yield out.getvalue()


def safe_text(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: a quote mark in front (OWASP, CSV Injection)."""
    return "'" + text if text.startswith(FORMULA_STARTS) else text


def write_for_spreadsheets(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write rows for people to open in a spreadsheet: texts made safe, numbers left as numbers, every text quoted."""
    safe = ([safe_text(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return "".join(write_quoted(columns, safe))


def write_quoted(columns: Sequence[str], rows: Iterable[Sequence[object]], size: int = 1000) -> Iterator[str]:
    """Write rows whose texts are safe already, every text quoted, in pieces of so many rows."""
    left = chain((columns,), rows)
    while piece := list(islice(left, size)):
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_NONNUMERIC).writerows(piece)
        yield out.getvalue()


def as_typed(cell: str) -> str:
    """Take away the quote mark that `safe_text` put in front."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_STARTS) else cell
