"""Many sessions made from one: their codes numbered on, their titles, and what else is on at that time; pure."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256

from mentor_training.calendar.recurrence import Repeat, days_of
from mentor_training.calendar.rules import SessionFact
from mentor_training.csv_form import CODE

FIRST_CODE = "s-01"
# Stands in a title for the number of the session or of the week.
NUMBER = "#"
# What the numbers in the titles count.
SESSIONS, WEEKS = "sessions", "weeks"
LONGEST_TITLE = 200


@dataclass(frozen=True)
class Naming:
    """How the sessions of a series are called: the first code, the title, and which number it begins with."""

    first_code: str
    title: str
    number: int = 1
    counts: str = SESSIONS


@dataclass(frozen=True)
class Clash:
    """A new session that would be on at the same time as one that is there."""

    session: SessionFact
    there: SessionFact


def code_fault(code: str) -> str:
    """Say why codes cannot be numbered on from one, or nothing."""
    if CODE.fullmatch(code) and re.search(r"[0-9]$", code):
        return ""
    return "Write a code that ends in a number, such as s-23; the next ones are counted on from it."


def next_codes(first: str, count: int, taken: Collection[str]) -> tuple[str, ...]:
    """Return so many codes counted on from the first one, without those taken, whatever case they are written in.

    The number keeps its width: after s-09 comes s-10, after s-99 s-100. `first` must end in a digit.
    """
    digits = re.search(r"[0-9]+$", first)
    if digits is None:
        raise ValueError(f"{first!r} ends in no number")
    gone, number = {one.lower() for one in taken}, int(digits[0])
    found: list[str] = []
    while len(found) < count:
        code = f"{first[: digits.start()]}{number:0{len(digits[0])}}"
        if code.lower() not in gone:
            found.append(code)
        number += 1
    return tuple(found)


def code_after(codes: Sequence[str]) -> str:
    """Propose the next free code: that of the last session, counted on; s-01 where there is none to count on from."""
    last = next((code for code in reversed(codes) if not code_fault(code)), "")
    if not last:
        return next_codes(FIRST_CODE, 1, codes)[0]
    return next_codes(last, 1, codes)[0]


def title_pattern(title: str) -> tuple[str, int]:
    """Return a title with its first number taken out for `#`, and the number that comes next; as it is without one."""
    found = re.search(r"[0-9]{1,6}", title)
    if not found:
        return title, 1
    return f"{title[: found.start()]}{NUMBER}{title[found.end() :]}", int(found[0]) + 1


def titles(naming: Naming, days: Iterable[date]) -> tuple[str, ...]:
    """Return the title of the session on each day.

    A week begins on Monday (ISO 8601); one without a session has no number.
    """
    found, number, week = [], naming.number - 1, (0, 0)
    for day in days:
        its_week = day.isocalendar()[:2]
        if naming.counts == SESSIONS or its_week != week:
            number += 1
        week = its_week
        found.append(naming.title.replace(NUMBER, str(number)))
    return tuple(found)


def series_of(pattern: SessionFact, repeat: Repeat, naming: Naming, taken: Collection[str]) -> tuple[SessionFact, ...]:
    """Return the sessions of a series: all as the pattern, but for code, title and day. The repeat has no fault."""
    days = days_of(repeat)
    named = zip(next_codes(naming.first_code, len(days), taken), titles(naming, days), days, strict=True)
    return tuple(replace(pattern, code=code, title=title, day=day) for code, title, day in named)


def naming_faults(found: Iterable[SessionFact]) -> tuple[str, ...]:
    """Return, in words, which codes or titles came out too long to be stored."""
    return tuple(
        f"{one.code}: its code or its title is too long."
        for one in found
        if not CODE.fullmatch(one.code) or len(one.title) > LONGEST_TITLE
    )


def clashes(new: Iterable[SessionFact], there: Iterable[SessionFact]) -> tuple[Clash, ...]:
    """Return which new sessions would be on at the same time as one that is there: seen before storing, not refused."""
    by_day: dict[date, list[SessionFact]] = {}
    for one in there:
        by_day.setdefault(one.day, []).append(one)
    return tuple(
        Clash(session, one)
        for session in new
        for one in by_day.get(session.day, ())
        if one.starts < session.ends and session.starts < one.ends
    )


def seal_of(sessions: Iterable[SessionFact]) -> str:
    """Return a hash of sessions as they are shown (SHA-256), so that they are stored as shown or not at all."""
    return sha256(repr(tuple(sessions)).encode("utf-8")).hexdigest()
