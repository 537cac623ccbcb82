"""Tables of marks as tests write them: a word a performance, in it a figure an observer, - for a missing mark."""

from __future__ import annotations

from collections.abc import Sequence

from mentor_training.observing.agreement.marks import Marks, of_rows

Rows = Sequence[Sequence[int | None]]


def rows_of(text: str) -> Rows:
    return [tuple(None if mark == "-" else int(mark) for mark in word) for word in text.split()]


def rows_of_table(table: Sequence[Sequence[int]]) -> Rows:
    """Return the marks of two observers behind a cross table."""
    return [(row, column) for row, line in enumerate(table) for column, often in enumerate(line) for _ in range(often)]


def rows_of_counts(counts: Sequence[Sequence[int]]) -> Rows:
    """Return marks from how many observers gave each; which observer gave which does not matter to what is asked."""
    return [[mark for mark, often in enumerate(line) for _ in range(often)] for line in counts]


def marks_of(rows: Rows) -> Marks:
    """Return a table whose scale is the marks that occur."""
    scale = sorted({mark for row in rows for mark in row if mark is not None})
    return of_rows([[None if mark is None else scale.index(mark) for mark in row] for row in rows], len(scale))
