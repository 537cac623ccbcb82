"""Spans of time that are to be entered: they run forward, and nobody is in two places; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from mentor_training.hours.rules import Entry, elapsed_minutes, minutes_left, to_the_minute

LONGEST_SPAN = timedelta(hours=24)


@dataclass(frozen=True)
class Clash:
    """An entry that lies across a span of time, and from when to when both would be, in UTC."""

    entry: Entry
    since: datetime
    until: datetime

    @property
    def minutes(self) -> int:
        """Return how many minutes both would have."""
        return elapsed_minutes(self.since, self.until)


def clashes(came: datetime, left: datetime, entries: Iterable[Entry]) -> tuple[Clash, ...]:
    """Return the entries of the same person with which a span has a minute in common, in the order given.

    It may begin at the minute at which another ends; an entry of which corrections left no minute is in nobody's way.
    Rules of this program.
    """
    entries = tuple(entries)
    stands = minutes_left(entries)
    came, left = to_the_minute(came), to_the_minute(left)
    return tuple(
        Clash(one, max(came, one.came), min(left, one.left))
        for one in entries
        if stands[one.id] and one.came and one.left and came < one.left and one.came < left
    )


def clashes_of(entry: Entry, log: Iterable[Entry]) -> tuple[Clash, ...]:
    """Return the other entries of a log with which one of its entries has a minute in common.

    Entering keeps them apart; minutes that were given back, or came from elsewhere, may still lie so.
    """
    log = tuple(log)
    if not (entry.came and entry.left and minutes_left(log)[entry.id]):
        return ()
    return tuple(one for one in clashes(entry.came, entry.left, log) if one.entry.id != entry.id)


def span_faults(what: str, came: datetime, left: datetime, entries: Iterable[Entry]) -> list[str]:
    """Say what is wrong with a span of time, given the entries of the same person; times in words are in its own zone.

    It runs forward, for less than a day, and overlaps no other entry; see `clashes`. Rules of this program.
    """
    zone, said = came.tzinfo, f"{what}, {_span_words(came, left, came.tzinfo)},"
    if to_the_minute(left) < to_the_minute(came):
        return [f"{said} ends before it begins; check both times, and the clock that they were read from."]
    if to_the_minute(left) - to_the_minute(came) >= LONGEST_SPAN:
        return [f"{said} is a day long or longer; check both times."]
    return [_clash_words(said, one, zone) for one in clashes(came, left, entries)]


def _clash_words(said: str, one: Clash, zone: tzinfo | None) -> str:
    entry = one.entry
    whole = _span_words(entry.came or one.since, entry.left or one.until, zone)
    return (
        f"{said} overlaps entry {entry.id} ({entry.about or entry.category}, {whole}) for {one.minutes} min, "
        f"{one.since.astimezone(zone):%H:%M} to {one.until.astimezone(zone):%H:%M}; nobody is in two places, so change "
        "one of them; an entry adjusted to 0 minutes is out of the way."
    )


def _span_words(came: datetime, left: datetime, zone: tzinfo | None) -> str:
    """Write a span; where the clock was changed in between, each time with its own name of the zone."""
    came, left = came.astimezone(zone), left.astimezone(zone)
    first = f"{came:%Y-%m-%d %H:%M}" + (f" {came:%Z}" if came.utcoffset() != left.utcoffset() else "")
    return f"{first} to {left:%H:%M %Z}"
