"""Spans of time that are to be entered: they run forward, and nobody is in two places; pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta, tzinfo

from mentor_training.hours.rules import Entry, minutes_left, to_the_minute

LONGEST_SPAN = timedelta(hours=24)


def span_faults(what: str, came: datetime, left: datetime, entries: Iterable[Entry]) -> list[str]:
    """Say what is wrong with a span of time, given the entries of the same person; times in words are in its own zone.

    It runs forward, for less than a day, and overlaps no other entry, though it may begin at the minute at which
    another ends; an entry of which corrections left no minute is in nobody's way. Rules of this program.
    """
    zone, said = came.tzinfo, f"{what}, {_span_words(came, left, came.tzinfo)},"
    entries = tuple(entries)
    stands = minutes_left(entries)
    came, left = to_the_minute(came), to_the_minute(left)
    if left < came:
        return [f"{said} ends before it begins; check both times."]
    if left - came >= LONGEST_SPAN:
        return [f"{said} is a day long or longer; check both times."]
    return [
        f"{said} overlaps entry {one.id} ({one.about or one.category}, {_span_words(one.came, one.left, zone)}); "
        "nobody is in two places, so change one of them; an entry adjusted to 0 minutes is out of the way."
        for one in entries
        if stands[one.id] and one.came and one.left and came < one.left and one.came < left
    ]


def _span_words(came: datetime, left: datetime, zone: tzinfo | None) -> str:
    return f"{came.astimezone(zone):%Y-%m-%d %H:%M} to {left.astimezone(zone):%H:%M %Z}"
