"""What a letter of hours says: what was stated, by term and category, and whether the statements still fit; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from mentor_training.calendar.terms import TermFact, term_of
from mentor_training.certificates.rules import MISREAD
from mentor_training.hours.rules import in_hours
from mentor_training.program.catalog import CATEGORIES

OUTSIDE = "Outside the terms"
_NUMBER = re.compile(r"L(\d{4})(\d+)")


@dataclass(frozen=True)
class Stated:
    """One entry of a volunteer that stands on a statement; minutes are whole, those of a correction may be negative."""

    statement: str
    day: date
    category: str
    minutes: int


@dataclass(frozen=True)
class TermSum:
    """A volunteer's minutes of one category in one term, from so many entries."""

    term: str
    category: str
    entries: int
    minutes: int

    @property
    def hours(self) -> Decimal:
        """Return the minutes as hours to two decimals, before any rounding rule."""
        return in_hours(self.minutes)


@dataclass(frozen=True)
class OnStatement:
    """What one statement says of one volunteer: minutes as they were, hours as they were stated, and how called then.

    `fits` says that the frozen text still has the SHA-256 under which it was frozen.
    """

    number: str
    section: str
    course: str
    through: date
    made_at: datetime
    rule: str
    hash: str
    name: str
    minutes: int
    stated: Decimal
    fits: bool = True


@dataclass(frozen=True)
class HoursLetter:
    """A volunteer's stated hours, from the first day to the last that is on a statement."""

    person: str
    name: str
    first_day: date
    last_day: date
    sums: tuple[TermSum, ...]
    statements: tuple[OnStatement, ...]

    @property
    def minutes(self) -> int:
        """Return the minutes of all statements together."""
        return sum(one.minutes for one in self.sums)

    @property
    def hours(self) -> Decimal:
        """Return the minutes as hours to two decimals, before any rounding rule."""
        return in_hours(self.minutes)

    @property
    def stated(self) -> Decimal:
        """Return the hours that the statements state, added up."""
        return sum((one.stated for one in self.statements), Decimal("0.00"))

    @property
    def other_names(self) -> tuple[str, ...]:
        """Return what the volunteer was called on statements, where that is not the name of today."""
        return tuple(dict.fromkeys(one.name for one in self.statements if one.name != self.name))


def term_sums(entries: Iterable[Stated], terms: Sequence[TermFact]) -> tuple[TermSum, ...]:
    """Sum up what was stated by term and category: terms by their first days, what lies in none last.

    An entry belongs to the term in which its own day falls, whenever it was stated. A rule of this program.
    """
    order = sorted(terms, key=lambda one: one.first_day)
    gathered: dict[tuple[int, int, str], list[Stated]] = {}
    for one in entries:
        term = term_of(order, one.day)
        place = order.index(term) if term else len(order)
        known = CATEGORIES.index(one.category) if one.category in CATEGORIES else len(CATEGORIES)
        gathered.setdefault((place, known, one.category), []).append(one)
    return tuple(
        TermSum(
            order[place].title if place < len(order) else OUTSIDE,
            category, len(found), sum(one.minutes for one in found),
        )
        for (place, _, category), found in sorted(gathered.items())
    )  # fmt: skip


def letter_faults(entries: Iterable[Stated], statements: Iterable[OnStatement]) -> tuple[str, ...]:
    """Say which statements no letter may rest on: changed since they were frozen, or not the sum of their entries.

    A rule of this program: a letter that somebody signs gives out nothing that does not prove itself.
    """
    minutes: dict[str, int] = {}
    for one in entries:
        minutes[one.statement] = minutes.get(one.statement, 0) + one.minutes
    faults = []
    for row in statements:
        if not row.fits:
            faults.append(f"Statement {row.number} is not what it was when it was frozen: its SHA-256 does not fit.")
        elif minutes.get(row.number, 0) != row.minutes:
            had = minutes.get(row.number, 0)
            faults.append(f"Statement {row.number} says {row.minutes} minutes, and its entries are {had}.")
    return tuple(faults)


# ---- under a number ----


def clean_letter_number(typed: str) -> str:
    """Return a letter's number as it is kept, from one that was typed; empty for what is no letter's number.

    Blanks, hyphens and capitals do not matter, nor do O, I and l for figures.
    """
    signs = "".join(sign for sign in typed.upper() if sign.isalnum() and sign.isascii())
    found = _NUMBER.fullmatch(signs[:1] + signs[1:].translate(MISREAD))
    return f"L-{found[1]}-{found[2]}" if found else ""


def letter_content(letter: HoursLetter, program: str, on: date) -> dict[str, Any]:
    """Return all that a letter says on its day, as it is frozen: days in ISO 8601, hours as text."""
    return {
        "program": program,
        "on": on.isoformat(),
        "person": letter.person,
        "name": letter.name,
        "first_day": letter.first_day.isoformat(),
        "last_day": letter.last_day.isoformat(),
        "sums": [[one.term, one.category, one.entries, one.minutes] for one in letter.sums],
        "statements": [
            [
                one.number, one.section, one.course, one.through.isoformat(), one.made_at.isoformat(), one.rule,
                one.hash, one.name, one.minutes, str(one.stated),
            ]
            for one in letter.statements
        ],
    }  # fmt: skip


def letter_in(content: Mapping[str, Any]) -> HoursLetter:
    """Return the letter that was frozen; what `letter_content` made of it."""
    return HoursLetter(
        content["person"], content["name"],
        date.fromisoformat(content["first_day"]), date.fromisoformat(content["last_day"]),
        tuple(TermSum(*one) for one in content["sums"]),
        tuple(
            OnStatement(
                number, section, course, date.fromisoformat(through), datetime.fromisoformat(made_at), rule, hashed,
                name, minutes, Decimal(stated),
            )
            for number, section, course, through, made_at, rule, hashed, name, minutes, stated in content["statements"]
        ),
    )  # fmt: skip
