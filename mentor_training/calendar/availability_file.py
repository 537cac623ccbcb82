"""The form of availability.csv: who can come when, with every finding by row and column; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from mentor_training.calendar.availability import (
    DAY,
    FORMS,
    PARTICIPANT,
    PERSON,
    SESSION,
    TERM,
    UNSAID,
    Said,
    last_said,
    read_answer,
)
from mentor_training.calendar.recurrence import DAY as DAY_PATTERN
from mentor_training.csv_form import Cells, Problem, read_rows

COLUMNS = ("kind", "code", "about", "which", "answer")


@dataclass(frozen=True)
class Row:
    """One line: somebody says something about a term, a day or a session."""

    kind: str
    code: str
    about: str
    which: str
    answer: str


@dataclass(frozen=True)
class KnownCodes:
    """The codes that a line may name, by kind of somebody and by what it is about."""

    who: Mapping[str, frozenset[str]]
    about: Mapping[str, frozenset[str]]


def read_availability(text: str, known: KnownCodes) -> tuple[list[Row], list[Problem]]:
    """Read availability.csv; nothing of it is to be taken where there is a problem."""
    cells, problems = read_rows(text, COLUMNS)
    seen: dict[tuple[str, ...], int] = {}
    found = []
    for row in cells:
        one = _row(row, known)
        key = (one.kind, one.code, one.about, one.which)
        if key in seen:
            row.problem("which", f"row {seen[key]} speaks about the same already", "keep one of them")
        seen.setdefault(key, row.number)
        problems.extend(row.problems)
        found.append(one)
    return found, problems


def _row(row: Cells, known: KnownCodes) -> Row:
    kind = _one_of(row, "kind", (PERSON, PARTICIPANT))
    about = _one_of(row, "about", (TERM, DAY, SESSION))
    code = _known(row, "code", kind, known.who)
    which = _day(row) if about == DAY else _known(row, "which", about, known.about)
    answer = read_answer(about, row.text("answer")) if about else None
    if about and answer is None:
        row.problem("answer", f"{row.text('answer')!r} says nothing about a {about}", FORMS[about])
    return Row(kind, code, about, which, answer or "")


def _one_of(row: Cells, column: str, words: tuple[str, ...]) -> str:
    text = row.text(column)
    if text not in words:
        row.problem(column, f"{text!r} is none", f"write {', '.join(words[:-1])} or {words[-1]}")
        return ""
    return text


def _known(row: Cells, column: str, kind: str, known: Mapping[str, frozenset[str]]) -> str:
    text = row.code(column)
    if kind and not any(problem.column == column for problem in row.problems) and text not in known[kind]:
        row.problem(column, f"there is no {kind} {text!r}", f"write the code of a {kind} that is there")
    return text


def _day(row: Cells) -> str:
    text = row.text("which")
    try:
        if re.fullmatch(DAY_PATTERN, text):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    row.problem("which", f"{text!r} is no day", "write a day that exists as YYYY-MM-DD")
    return text


def rows_in_force(said: Iterable[Said]) -> Iterator[tuple[str, ...]]:
    """Yield what counts now as rows of the file: what was said last about each thing, and was not taken back."""
    for (kind, code, about, which), one in sorted(last_said(said).items()):
        if one.answer != UNSAID:
            yield (kind, code, about, which, one.answer)
