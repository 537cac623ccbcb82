"""Caps for a day and a week: what of waiting minutes is over them, and what planned ones would bring; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from mentor_training.hours.rules import Entry


@dataclass
class _Counted:
    """How many minutes count already of each day, and of each week from Monday to Sunday (ISO 8601)."""

    day_cap: int | None
    week_cap: int | None
    of_day: Counter[date] = field(default_factory=Counter)
    of_week: Counter[tuple[int, int]] = field(default_factory=Counter)

    def take(self, day: date, minutes: int) -> None:
        """Count minutes, whatever the caps say."""
        self.of_day[day] += minutes
        self.of_week[day.isocalendar()[:2]] += minutes

    def take_within(self, day: date, minutes: int) -> int:
        """Count what the caps leave room for, and return it."""
        rooms = [minutes]
        if self.day_cap is not None:
            rooms.append(max(0, self.day_cap - self.of_day[day]))
        if self.week_cap is not None:
            rooms.append(max(0, self.week_cap - self.of_week[day.isocalendar()[:2]]))
        self.take(day, counted := min(rooms))
        return counted


def over_the_caps(entries: Iterable[Entry], day_cap: int | None, week_cap: int | None) -> dict[int, int]:
    """Return, by the id of an entry, how many of its minutes are over a cap for a day or a week and not yet approved.

    For one person. All categories count together; a week runs from Monday to Sunday (ISO 8601). What is approved counts
    first; of the rest, what was entered first. A correction counts with the entry it corrects. A rule of this program.
    """
    return _count(entries, day_cap, week_cap)[1]


def within_the_caps(
    entries: Iterable[Entry], planned: Iterable[tuple[date, int]], day_cap: int | None, week_cap: int | None
) -> tuple[int, ...]:
    """Return how many of each of the planned minutes would count, beside what is in a person's log, in their order.

    They count as they would if they were entered and waited for approval, one after the other behind all that waits
    already. Minutes that an instructor would approve over a cap are not counted on. A rule of this program.
    """
    counted, _ = _count(entries, day_cap, week_cap)
    return tuple(counted.take_within(day, minutes) for day, minutes in planned)


def _count(entries: Iterable[Entry], day_cap: int | None, week_cap: int | None) -> tuple[_Counted, dict[int, int]]:
    """Count a log within the caps, and return with it what is over them, by the id of the entry."""
    entries, counted = tuple(entries), _Counted(day_cap, week_cap)
    for one in entries:
        if one.approved_by:
            counted.take(one.day, one.minutes)
    over: dict[int, int] = {}
    for number, (day, minutes) in sorted(_waiting(entries).items()):
        if beyond := minutes - counted.take_within(day, minutes):
            over[number] = beyond
    return counted, over


def _waiting(entries: Iterable[Entry]) -> dict[int, tuple[date, int]]:
    """Return the day and the minutes that wait for approval, corrections included, by the id of the first entry."""
    waiting: dict[int, tuple[date, int]] = {}
    for one in entries:
        if not one.approved_by:
            number = one.corrects or one.id
            waiting[number] = (one.day, waiting.get(number, (one.day, 0))[1] + one.minutes)
    return waiting
