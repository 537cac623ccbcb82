"""Days of the week in titles: a session that is called after another day than its own; pure."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from mentor_training.calendar.rules import SessionFact

NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
# Whole names alone: "sat" and "sun" are other words too.
_NAMED = re.compile(rf"\b({'|'.join(NAMES)})(s?)\b", re.IGNORECASE)


def named_in(title: str) -> frozenset[int]:
    """Return the days of the week that a title names, in any case and number; 0 is Monday."""
    return frozenset(NAMES.index(found[1].capitalize()) for found in _NAMED.finditer(title))


def misnamed(sessions: Iterable[SessionFact]) -> tuple[SessionFact, ...]:
    """Return the sessions that are called after days of the week which are not theirs."""
    return tuple(one for one in sessions if (named := named_in(one.title)) and one.day.weekday() not in named)


def named_for(title: str, weekdays: Collection[int]) -> str:
    """Return a title with the days of the week, 0 is Monday, in place of each that it names."""
    days = " and ".join(NAMES[number] for number in sorted(set(weekdays)))
    return _NAMED.sub(lambda found: days + found[2], title)


def misnamed_in_words(sessions: Iterable[SessionFact]) -> str:
    """Say which sessions are called after another day than their own; nothing where none is."""
    found = misnamed(sessions)
    if not found:
        return ""
    first, more = found[0], len(found) - 1
    others = f", and {more} more {'is' if more == 1 else 'are'} so" if more else ""
    return f"“{first.title}” is on a {NAMES[first.day.weekday()]}{others}"
