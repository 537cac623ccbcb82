"""Reading the marks of several observers from a file, a row a mark; pure."""

from __future__ import annotations

import difflib
import re
from fractions import Fraction

from mentor_training.csv_form import Cells, Problem, read_rows
from mentor_training.observing.agreement.marks import Mark, Marks, Unit, side_by_side
from mentor_training.observing.rules.results import Marking

COLUMNS = ("observer", "performance", "criterion", "mark")
NUMBER = re.compile(r"[+-]?\d{1,9}(\.\d{1,9})?")
# A table of every mark by every other is made for each performance.
MOST_NUMBERS = 50
WORDS = tuple(Marking)


def read_marks(text: str) -> tuple[Marks, list[Problem]]:
    """Read a CSV with the columns observer, performance, criterion and mark; findings name row and column.

    A mark is one of this program's words, or a number; all in a file are of one kind. A mark that is missing has no
    row; not-seen says the same.
    """
    rows, problems = read_rows(text, COLUMNS)
    given: dict[tuple[str, Unit], Mark] = {}
    first: dict[tuple[str, Unit], int] = {}
    for row in rows:
        _take(row, given, first)
    problems += [problem for row in rows for problem in row.problems]
    problems = problems or _of_the_whole(rows, given)
    return side_by_side({} if problems else given), problems


def _take(row: Cells, given: dict[tuple[str, Unit], Mark], first: dict[tuple[str, Unit], int]) -> None:
    observer, unit = row.needed("observer"), Unit(row.needed("performance"), row.needed("criterion"))
    mark, place = _mark(row), (observer, unit)
    if not all((observer, unit.performance, unit.criterion)):
        return
    if place in first:
        what = f"{observer} marked criterion {unit.criterion} of {unit.performance} in row {first[place]} too"
        row.problem("mark", what, "keep one of them")
    first.setdefault(place, row.number)
    if mark is not None and mark != Marking.NOT_SEEN:
        given.setdefault(place, mark)


def _mark(row: Cells) -> Mark | None:
    text = row.text("mark")
    word = text.lower()
    if word in WORDS:
        return Marking(word)
    if NUMBER.fullmatch(text):
        return Fraction(text)
    near = difflib.get_close_matches(word.replace(" ", "-"), WORDS, 1)
    right = f"did you mean {near[0]}?" if near else f"write a number, or one of {', '.join(WORDS)}"
    row.problem("mark", f"{text!r} is no mark" if text else "it is empty", right if text else _LEAVE_OUT)
    return None


_LEAVE_OUT = "leave the row out where there is no mark"


def _of_the_whole(rows: list[Cells], given: dict[tuple[str, Unit], Mark]) -> list[Problem]:
    """Return what is wrong though every row alone is right."""
    kinds = {isinstance(mark, Fraction) for mark in given.values()}
    numbers = {mark for mark in given.values() if isinstance(mark, Fraction)}
    if not rows:
        return [Problem(1, "", "there is no mark", "write a row for each")]
    if len(kinds) > 1:
        return [_mixed(rows)]
    if len(numbers) > MOST_NUMBERS:
        what = f"there are {len(numbers)} different numbers"
        return [Problem(1, "mark", what, f"agreement is about scales of at most {MOST_NUMBERS} marks")]
    return []


def _mixed(rows: list[Cells]) -> Problem:
    """Name the first row whose mark is of the other kind than those before it."""
    marked = [(row.number, bool(NUMBER.fullmatch(row.text("mark")))) for row in rows if not _is_not_seen(row)]
    number = next(number for number, is_number in marked if is_number != marked[0][1])
    return Problem(number, "mark", "there are words and numbers in one file", "which is higher cannot be said; use one")


def _is_not_seen(row: Cells) -> bool:
    return row.text("mark").lower() == Marking.NOT_SEEN
