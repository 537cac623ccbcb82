"""Calendar files (RFC 5545): what every one of them begins with, and sessions as events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from mentor_training.calendar.rules import SessionFact

# Who is where when is nobody else's business, wherever the file is put.
CLASS = "PRIVATE"
# How often a calendar program is asked to look again.
REFRESH = timedelta(hours=6)


@dataclass(frozen=True)
class Issuer:
    """The instance that a calendar comes from: its title, its public address, its zone, and where sessions are held."""

    title: str
    address: str
    zone: ZoneInfo
    place: str = ""


def new_calendar(kind: str, path: str, title: str, address: str) -> Calendar:
    """Begin a calendar of a kind; it is named after the instance's address and a path there."""
    return Calendar.new(prodid=f"-//Mentor training//{kind}//EN", uid=str(uid_in(address, path)), name=title)


def uid_in(address: str, path: str) -> UUID:
    """Return a name that tells nothing and is the same for the same thing (RFC 7986 section 5.3)."""
    return uuid5(NAMESPACE_URL, f"{address}/{path}")


def written(calendar: Calendar) -> str:
    """Write a calendar."""
    text: str = calendar.to_ical().decode("utf-8")
    return text


def sessions_as_calendar(
    sessions: Iterable[SessionFact], issuer: Issuer, path: str, page: str, changed: Mapping[str, datetime]
) -> str:
    """Write sessions as a calendar: title, time and place, and nobody's name or code.

    `page` is the path that an event leads to, `{}` in it being the session's code; `changed` says when each was last
    changed, which is what DTSTAMP means in a file that is not sent by a method (RFC 5545 section 3.8.7.2).
    """
    calendar = new_calendar("Sessions", path, f"Sessions, {issuer.title}", issuer.address)
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    for one in sessions:
        calendar.add_component(_event(one, issuer, page, changed[one.code]))
    return written(calendar)


def _event(session: SessionFact, issuer: Issuer, page: str, changed: datetime) -> Event:
    """Make the event of a session.

    Its times are written in UTC: a session happens once, so that no zone and no change of its clocks has to be told.
    One that begins in the hour which the clocks leave out may have no end after its start, and is told without one.
    """
    starts, ends = moment_of(session, issuer.zone), moment_of(session, issuer.zone, at_end=True)
    event = Event.new(
        uid=str(uid_in(issuer.address, f"sessions/{session.code}")),
        stamp=changed,
        start=starts,
        end=ends if ends > starts else None,
        summary=_plain(session.title),
        location=_plain(issuer.place) or None,
        url=f"{issuer.address}/{page.format(session.code)}",
    )
    event.add("class", CLASS)
    return event


def _plain(text: str) -> str:
    """Return a text without what no line of a calendar may hold (RFC 5545 section 3.1: control characters)."""
    return "".join(one for one in text if one.isprintable())


def moment_of(session: SessionFact, zone: ZoneInfo, at_end: bool = False) -> datetime:
    """Return when a session begins or ends, in UTC.

    A local time that there is twice is the first; one that there never is counts by the offset before the gap
    (RFC 5545 section 3.3.5).
    """
    at = session.ends if at_end else session.starts
    return datetime.combine(session.day, at, tzinfo=zone).astimezone(UTC)
