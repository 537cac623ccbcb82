"""What stands on a statement: each volunteer's sum of each category, and the frozen CSV of them; pure."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, tzinfo
from decimal import Decimal

from mentor_training.csv_form import as_typed, write_for_spreadsheets
from mentor_training.hours.rules import Entry, Rounding, counted_minutes, in_hours, rule_in_words, stated_hours
from mentor_training.program.catalog import CATEGORIES

COLUMNS = (
    "statement", "section", "course", "through", "volunteer", "name", "category",
    "entries", "minutes", "hours", "stated_hours", "rounding",
)  # fmt: skip


@dataclass(frozen=True)
class Heading:
    """What a statement is: its number, the section and course it is for, and the last day it takes in."""

    number: str
    section: str
    course: str
    through: date
    rounding: Rounding


@dataclass(frozen=True)
class StatedSum:
    """One volunteer's sum of one category: so many entries and minutes as they were, and the hours that are stated."""

    person: str
    name: str
    category: str
    entries: int
    minutes: int
    stated: Decimal

    @property
    def hours(self) -> Decimal:
        """Return the minutes as hours to two decimals, before any rounding rule."""
        return in_hours(self.minutes)


def stated_sums(
    entries: Iterable[Entry], names: Mapping[str, str], rounding: Rounding, zone: tzinfo
) -> tuple[StatedSum, ...]:
    """Sum entries up by volunteer and category, in the order of codes and categories.

    What is rounded is the sum (or, by the rule `clock`, the clock times), never a sum of rounded sums.
    """
    gathered: dict[tuple[str, str], list[Entry]] = {}
    for one in entries:
        gathered.setdefault((one.person, one.category), []).append(one)
    return tuple(
        StatedSum(
            person, names.get(person, person), category, len(found), sum(one.minutes for one in found),
            stated_hours(sum(counted_minutes(one, rounding, zone) for one in found), rounding),
        )
        for (person, category), found in sorted(gathered.items(), key=lambda pair: (pair[0][0], _place(pair[0][1])))
    )  # fmt: skip


def _place(category: str) -> tuple[int, str]:
    return CATEGORIES.index(category) if category in CATEGORIES else len(CATEGORIES), category


def body_of(heading: Heading, sums: Iterable[StatedSum]) -> str:
    """Write a statement's CSV: RFC 4180, one row for each sum, safe to open in a spreadsheet."""
    head = (heading.number, heading.section, heading.course, heading.through.isoformat())
    rule = rule_in_words(heading.rounding)
    return write_for_spreadsheets(
        COLUMNS,
        (
            (*head, one.person, one.name, one.category, one.entries, one.minutes, one.hours, one.stated, rule)
            for one in sums
        ),
    )


def sums_in(body: str) -> tuple[StatedSum, ...]:
    """Read the sums back from a statement's frozen CSV, so that every print shows what was frozen and nothing newer."""
    return tuple(
        StatedSum(
            row["volunteer"], as_typed(row["name"]), row["category"],
            int(row["entries"]), int(row["minutes"]), Decimal(row["stated_hours"]),
        )
        for row in csv.DictReader(io.StringIO(body, newline=""))
    )  # fmt: skip
