"""The form of people.csv: what a row may say, with every finding by row and column; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from mentor_training.csv_form import Cells, Problem, read_rows
from mentor_training.people.permissions import ROLES
from mentor_training.people.rules import is_email

COLUMNS = ("person", "name", "email", "roles", "section")


@dataclass(frozen=True)
class Row:
    """One person of a roster."""

    person: str
    name: str
    email: str
    roles: tuple[str, ...]
    sections: tuple[str, ...]


def read_roster(text: str, sections: Iterable[str] | None = None) -> tuple[list[Row], list[Problem]]:
    """Read a roster; `sections` are the known ones, or None where no program is published yet."""
    cells, problems = read_rows(text, COLUMNS)
    known = None if sections is None else set(sections)
    rows: list[Row] = []
    seen: dict[str, int] = {}
    addresses: dict[str, int] = {}
    for row in cells:
        found = _person(row, known)
        row.once("person", seen, "two rows for one person")
        row.once("email", addresses, "two people with one address")
        problems.extend(row.problems)
        if found and not row.problems:
            rows.append(found)
    return rows, problems


def _person(row: Cells, known: set[str] | None) -> Row:
    code, name, email = row.code("person"), row.needed("name"), row.text("email").lower()
    if not is_email(email):
        row.problem("email", f"{email!r} is no e-mail address", "write one like name@place.example")
    roles = row.words("roles", allowed=ROLES)
    if not roles:
        row.problem("roles", "there is none", f"write one or several of {', '.join(ROLES)}, joined by ;")
    return Row(code, name, email, roles, row.words("section", allowed=known))
