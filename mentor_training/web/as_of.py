"""The day a page is asked about, and the moment whose knowledge it is asked from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from typing import TYPE_CHECKING, Any

from flask import g, has_request_context, request
from werkzeug.exceptions import BadRequest

from mentor_training.clock import day_in

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from flask import Flask

PARAMETERS = ("on", "known_at")
_FIRST_YEAR, _LAST_YEAR = 1900, 2199
_DAY_FORM = "Write a day as year-month-day, such as 2026-10-17."
_MOMENT_FORM = "Write a moment such as 2026-10-16T18:00:00Z, or 2026-10-16T14:00 for the program's own time."


@dataclass(frozen=True)
class AsOf:
    """What a page shows: `day`, as far as was known at `known_at` (None: all that is known now).

    `chosen` says that this is not simply today, so that the page can say so too.
    """

    day: date
    known_at: datetime | None
    chosen: bool


def read_as_of(arguments: Mapping[str, str], now: datetime, zone: ZoneInfo) -> AsOf:
    """Read `on` and `known_at` from a request's arguments; an empty one counts as not given.

    `on` is a day (ISO 8601, year-month-day) and may lie ahead; `known_at` is a moment not after `now`. A moment
    without an offset is local time in `zone`, and where local time is doubled or missing it is read as in RFC 5545
    section 3.3.5.
    Raises BadRequest with what is wrong and what would be right.
    """
    today = day_in(zone, now)
    day = _read_day(arguments.get("on", "").strip()) or today
    known_at = _read_moment(arguments.get("known_at", "").strip(), zone)
    if known_at is not None and known_at > now:
        raise BadRequest(f"Nothing can be known at {arguments['known_at'].strip()} yet: that moment is still ahead.")
    return AsOf(day, known_at, chosen=day != today or known_at is not None)


def current_as_of(now: datetime, zone: ZoneInfo) -> AsOf:
    """Return what the current request is asked about, read once for each request.

    When the arguments cannot be read, today stands from then on, so that the page that says so can itself be shown.
    """
    if "as_of" not in g:
        g.as_of = AsOf(day_in(zone, now), None, chosen=False)
        g.as_of = read_as_of(request.args, now, zone)
    as_of: AsOf = g.as_of
    return as_of


def carry_as_of(app: Flask) -> None:
    """Let every link of a page that looks at another day lead to pages that look at the same day."""

    @app.url_defaults
    def add_the_day(endpoint: str, values: dict[str, Any]) -> None:
        if endpoint.rpartition(".")[2] != "static" and _shows_another_day():
            for name in PARAMETERS:
                if request.args.get(name):
                    values.setdefault(name, request.args[name])


def _shows_another_day() -> bool:
    if not has_request_context() or request.method not in ("GET", "HEAD"):
        return False
    as_of: AsOf | None = g.get("as_of")
    return as_of is not None and as_of.chosen


def _read_day(text: str) -> date | None:
    if not text:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadRequest(f"{text!r} is not a day. {_DAY_FORM}") from None
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise BadRequest(f"{text!r} is too far off: choose a day of the years {_FIRST_YEAR} to {_LAST_YEAR}.")
    return day


def _read_moment(text: str, zone: tzinfo) -> datetime | None:
    if not text:
        return None
    try:
        # A plus sign that was not escaped in an address arrives as a space.
        moment = datetime.fromisoformat(text.replace(" ", "+") if "T" in text else text)
        local = moment if moment.tzinfo is not None else moment.replace(tzinfo=zone)
        return local.astimezone(UTC)
    except (ValueError, OverflowError):
        raise BadRequest(f"{text!r} is not a moment. {_MOMENT_FORM}") from None
