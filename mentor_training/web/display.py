"""How values are written for people: days, times, spans, hours and levels, alike on every page and in every print."""

from __future__ import annotations

from datetime import date, datetime, time, tzinfo
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from mentor_training.web.folding import fold
from mentor_training.web.problems import form_problems

if TYPE_CHECKING:
    from flask import Flask

LEVEL_WORDS = ("Not yet", "Supervised", "Independent", "Lead")
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_HUNDREDTH = Decimal("0.01")


def show_day(day: date) -> str:
    """Write a day: `Sat 17 Oct 2026`, whatever the machine's language."""
    return f"{_WEEKDAYS[day.weekday()]} {show_short_day(day)} {day.year}"


def show_short_day(day: date) -> str:
    """Write a day whose year is plain from what stands around it: `12 Oct`."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def show_days(first: date, last: date | None) -> str:
    """Write a span of days, both inclusive; no last day means that it is open."""
    if last is None:
        return f"from {show_day(first)} on"
    return show_day(first) if first == last else f"{show_day(first)} to {show_day(last)}"


def show_time(moment: datetime | time, zone: tzinfo | None = None) -> str:
    """Write a time of day, `10:20`: a moment as it reads in `zone`, or a time that is already the program's own.

    Raises ValueError for a moment without an offset, or without a zone to show it in, rather than show a wrong hour.
    """
    if isinstance(moment, time):
        return f"{moment.hour:02}:{moment.minute:02}"
    local = _in_zone(moment, zone)
    return f"{local.hour:02}:{local.minute:02}"


def show_moment(moment: datetime, zone: tzinfo | None = None) -> str:
    """Write a moment as it reads in `zone`: `Sat 17 Oct 2026, 10:20`; errors as `show_time`."""
    local = _in_zone(moment, zone)
    return f"{show_day(local.date())}, {show_time(local.time())}"


def show_span(starts: datetime | time, ends: datetime | time, zone: tzinfo | None = None) -> str:
    """Write a span of time within a day: `10:20 to 11:05`; errors as `show_time`."""
    return f"{show_time(starts, zone)} to {show_time(ends, zone)}"


def show_hours(minutes: int | Fraction) -> str:
    """Write minutes as hours with two decimals, half up away from zero: 735 is `12.25 h`.

    The number is for reading only: whether a requirement is met is decided on the minutes, and 599 of 600 minutes
    read `9.98 h`, never `10.00 h`.
    """
    exact = Fraction(minutes) / 60
    hundredths = Decimal(exact.numerator) / Decimal(exact.denominator)
    return f"{hundredths.quantize(_HUNDREDTH, ROUND_HALF_UP)} h"


def show_level(level: int) -> str:
    """Write a level, 0 to 3, as its word; ValueError for any other number."""
    if not 0 <= level < len(LEVEL_WORDS):
        raise ValueError(f"a level is 0, 1, 2 or 3, not {level}")
    return LEVEL_WORDS[level]


def register_display(app: Flask, zone: tzinfo | None = None) -> None:
    """Give the templates these functions as filters, moments read in the program's time zone."""
    for function in (show_day, show_short_day, show_days, show_hours, show_level, fold, form_problems):
        app.add_template_filter(function, function.__name__)
    for in_zone in (show_time, show_moment, show_span):
        app.add_template_filter(partial(in_zone, zone=zone), in_zone.__name__)


def _in_zone(moment: datetime, zone: tzinfo | None) -> datetime:
    if moment.tzinfo is None:
        raise ValueError(f"{moment.isoformat()} has no offset from UTC; only a moment with one can be shown")
    if zone is None:
        raise ValueError("no time zone to show the moment in; pass one, or register the display with the program's own")
    return moment.astimezone(zone)
