"""The form of participants.csv: what a row may say, with every finding by row and column; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from mentor_training.csv_form import Cells, Problem, read_rows

COLUMNS = ("participant", "first_name", "adaptation_level", "needs", "keep_apart", "wishes")
LONGEST_NAME = 40


@dataclass(frozen=True)
class Row:
    """One participant of a file."""

    participant: str
    first_name: str
    adaptation_level: int
    needs: tuple[str, ...]
    keep_apart: tuple[str, ...]
    wishes: tuple[str, ...]


def read_participants(text: str, needs: Iterable[str] | None, people: Iterable[str]) -> tuple[list[Row], list[Problem]]:
    """Read participants; `needs` are the known ones, or None where no program is published yet; `people` are codes."""
    cells, problems = read_rows(text, COLUMNS)
    known_needs, known_people = None if needs is None else set(needs), set(people)
    rows: list[Row] = []
    seen: dict[str, int] = {}
    for row in cells:
        found = _participant(row, known_needs, known_people)
        row.once("participant", seen, "two rows for one participant")
        problems.extend(row.problems)
        if found and not row.problems:
            rows.append(found)
    return rows, problems


def _participant(row: Cells, needs: set[str] | None, people: set[str]) -> Row | None:
    code, name = row.code("participant"), row.needed("first_name")
    if re.search(r"\s", name) or len(name) > LONGEST_NAME:
        right = "write the first name they use and nothing else; join two first names with a hyphen"
        row.problem("first_name", "it is more than a first name", right)
    level = row.whole("adaptation_level", 1, 3)
    wanted = row.words("needs", allowed=needs)
    apart, wishes = row.words("keep_apart", allowed=people), row.words("wishes", allowed=people)
    for person in set(apart) & set(wishes):
        row.problem("wishes", f"{person!r} is on the keep-apart list too", "a person is on one of the two")
    return None if level is None else Row(code, name, level, wanted, apart, wishes)
