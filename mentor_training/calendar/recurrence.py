"""Days that come again: rules of RFC 5545, worked out by python-dateutil, with days left out; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import islice

from dateutil.rrule import rrulestr

from mentor_training.calendar.rules import day_faults

# RFC 5545 section 3.3.10 names the days so.
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
MOST_AT_ONCE = 200
MOST_WEEKS_APART = 26
LONGEST_BREAK = 366
DAY = "[0-9]{4}-[0-9]{2}-[0-9]{2}"
DAY_FORM = "write one as year-month-day, such as 2026-11-26, or two with `to` between them"


@dataclass(frozen=True)
class Repeat:
    """Days of the week (0 is Monday), every so many weeks, from a day until a day or a count; some are left out."""

    first: date
    weekdays: tuple[int, ...]
    until: date | None = None
    count: int | None = None
    every: int = 1
    left_out: frozenset[date] = frozenset()


@dataclass(frozen=True)
class RepeatFault:
    """Which detail of a repeat is wrong, and what is wrong with it."""

    detail: str
    what: str


def repeat_faults(repeat: Repeat) -> tuple[RepeatFault, ...]:
    """Return what is wrong with a repeat, empty when nothing is. The bounds are rules of this program."""
    faults: list[RepeatFault] = []
    # The library counts no further than the year 9999, and these bounds keep it far from there.
    faults += [RepeatFault(one.detail, f"{one.what[0].upper()}{one.what[1:]}.") for one in day_faults(repeat.first)]
    if not repeat.weekdays:
        faults.append(RepeatFault("weekdays", "Choose at least one day of the week."))
    if (repeat.until is None) == (repeat.count is None):
        faults.append(RepeatFault("until", "Write the last day or how many, one of the two."))
    if repeat.until is not None and repeat.until < repeat.first:
        faults.append(RepeatFault("until", f"{repeat.until} is before the first day, {repeat.first}."))
    if repeat.count is not None and not 1 <= repeat.count <= MOST_AT_ONCE:
        faults.append(RepeatFault("count", f"Write a whole number from 1 to {MOST_AT_ONCE}."))
    if not 1 <= repeat.every <= MOST_WEEKS_APART:
        faults.append(RepeatFault("every", f"Write a whole number from 1 to {MOST_WEEKS_APART}."))
    return tuple(faults) or _faults_of_days(repeat)


def _faults_of_days(repeat: Repeat) -> tuple[RepeatFault, ...]:
    days = list(islice(_days(repeat), MOST_AT_ONCE + 1))
    detail = "until" if repeat.until else "count"
    beyond = next((fault for day in days for fault in day_faults(day)), None)
    if len(days) > MOST_AT_ONCE:
        return (RepeatFault(detail, f"That is more than {MOST_AT_ONCE} days, the most at once; end it earlier."),)
    if beyond:
        return (RepeatFault(detail, f"{beyond.what[0].upper()}{beyond.what[1:]}."),)
    if all(day in repeat.left_out for day in days):
        return (
            RepeatFault(detail, "No day is left: none of these days of the week falls in it, or all are left out."),
        )
    return ()


def rule_of(repeat: Repeat) -> str:
    """Write a repeat as a rule of RFC 5545 section 3.3.10; its last day is a DATE, as its first day is."""
    end = f"COUNT={repeat.count}" if repeat.until is None else f"UNTIL={repeat.until.isoformat().replace('-', '')}"
    names = ",".join(WEEKDAYS[one] for one in sorted(set(repeat.weekdays)))
    return f"FREQ=WEEKLY;INTERVAL={repeat.every};WKST=MO;BYDAY={names};{end}"


def days_of(repeat: Repeat) -> tuple[date, ...]:
    """Return the days of a repeat without those left out, at most `MOST_AT_ONCE`.

    A day left out counts in a count all the same, as EXDATE does (RFC 5545 section 3.8.5.1). The first day is one of
    them only if it is such a day of the week.
    """
    return tuple(day for day in islice(_days(repeat), MOST_AT_ONCE) if day not in repeat.left_out)


def without(repeat: Repeat, holidays: Iterable[date]) -> Repeat:
    """Return a repeat that leaves out, besides, those holidays on which it would have had a day. It has no fault."""
    met = frozenset(holidays) & set(islice(_days(repeat), MOST_AT_ONCE))
    return replace(repeat, left_out=repeat.left_out | met)


def not_met(repeat: Repeat) -> tuple[date, ...]:
    """Return the days to be left out on which there would have been nothing anyway."""
    return tuple(sorted(repeat.left_out - set(islice(_days(repeat), MOST_AT_ONCE))))


def _days(repeat: Repeat) -> Iterator[date]:
    return (moment.date() for moment in instances(rule_of(repeat), datetime.combine(repeat.first, time())))


def instances(rule: str, starts: datetime, left_out: Iterable[datetime] = ()) -> Iterator[datetime]:
    """Yield the instances of a rule of RFC 5545 from its first one on, maybe without end, in local time throughout."""
    gone = set(left_out)
    return (moment for moment in rrulestr(rule, dtstart=starts) if moment not in gone)


def read_days(text: str) -> tuple[frozenset[date], tuple[str, ...]]:
    """Read days, one a line or a span of them; return them with what is wrong, by line, counted from 1."""
    found: set[date] = set()
    faults = []
    for number, line in enumerate(text.splitlines(), 1):
        days = _span(line.strip()) if line.strip() else ()
        if days is None:
            faults.append(f"Line {number}: {line.strip()!r} is no day; {DAY_FORM}.")
        else:
            found.update(days)
    return frozenset(found), tuple(faults)


def _span(text: str) -> tuple[date, ...] | None:
    """Return the days that a line names; None where one does not exist, or a span is backward or too long."""
    written = re.fullmatch(rf"({DAY})(?: +to +({DAY}))?", text)
    if not written:
        return None
    try:
        first, last = (date.fromisoformat(part or written[1]) for part in written.groups())
    except ValueError:
        return None
    length = (last - first).days
    return tuple(first + timedelta(days=place) for place in range(length + 1)) if 0 <= length < LONGEST_BREAK else None
