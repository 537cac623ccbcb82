"""What a letter of hours says: what was stated, by term and category, and whether the statements still fit; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from mentor_training.calendar.terms import TermFact, term_of
from mentor_training.hours.rules import in_hours
from mentor_training.program.catalog import CATEGORIES

OUTSIDE = "Outside the terms"


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
