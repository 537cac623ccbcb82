"""Reading a plain table of right and wrong answers, as a paper quiz leaves it: a row a person, a column an item."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from mentor_training.csv_form import LINE, Cells, Problem, read_rows

SCORE = re.compile(r"[01](\.0{0,9})?|0?\.[0-9]{1,9}")
WRITE = "write 1 for right, 0 for wrong or no answer, or a share between such as 0.5"
# What the head of a column of names says; one with no head at all is one too.
NAMES = ("", "code", "id", "name", "names", "people", "person", "student", "volunteer")


@dataclass(frozen=True)
class Responses:
    """The names of the items, and for each person the scores in their order."""

    items: tuple[str, ...]
    rows: tuple[tuple[Fraction, ...], ...]


def read_responses(text: str) -> tuple[Responses, list[Problem]]:
    """Read a CSV with a head of item names and cells of 0 and 1, or shares between; findings name row and column.

    The first column may hold names, which are passed over: where its head says so or is empty, or none of its cells is
    a score.
    """
    head = _head(text)
    rows, problems = read_rows(text, head) if head else ([], [])
    problems = [*_problems_of_head(head), *problems]
    if problems:
        return Responses((), ()), problems
    items = head[1:] if _is_names(head[0], [row.text(head[0]) for row in rows]) else head
    scores = tuple(tuple(_score(row, item) for item in items) for row in rows)
    problems = [problem for row in rows for problem in row.problems]
    if not items:
        problems.append(Problem(1, head[0], "there is a column of names and no item", "give each item a column"))
    return Responses(tuple(items), scores), problems


def _head(text: str) -> list[str]:
    lines = (line[0] for line in LINE.finditer(text.removeprefix("\ufeff")))
    try:
        return [name.strip() for name in next(csv.reader(lines, strict=True), [])]
    except csv.Error:
        # What is wrong with it is found again, and said, when the rows are read.
        return [""]


def _problems_of_head(head: Sequence[str]) -> list[Problem]:
    right = "the first row names the items, one a column"
    if not any(head):
        return [Problem(1, "", "there is no head", right)]
    if all(SCORE.fullmatch(name) for name in head):
        return [Problem(1, "", "the first row is scores", right)]
    return [
        Problem(1, "", f"column {place} has no name", right)
        for place, name in enumerate(head, 1)
        if place > 1 and not name
    ]


def _is_names(head: str, cells: Sequence[str]) -> bool:
    return head.lower() in NAMES or (bool(cells) and not any(SCORE.fullmatch(cell) for cell in cells))


def _score(row: Cells, item: str) -> Fraction:
    text = row.text(item)
    if SCORE.fullmatch(text):
        return Fraction(text)
    row.problem(item, f"{text!r} is no score" if text else "it is empty", WRITE)
    return Fraction(0)
