"""What a phone's queue sends, read into values, or said what is wrong with it; pure.

The phone's own script writes it, but anybody can send anything: nothing is taken on trust but its words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TypeVar

from mentor_training.observing.rules.results import GivenMark

T = TypeVar("T")
# What a column of 32 bits holds, some 68 years: beyond it a clock is not wrong but not set.
MOST_SECONDS = 2**31 - 1


@dataclass(frozen=True)
class Sent:
    """One observation as it was written down on a phone.

    `observer` is whose it is; `made_at` and `device_now` are moments by the phone's clock, when it was saved and when
    sent; `known_at` is the moment, by the program's clock, whose knowledge the phone had of the floor.
    """

    observer: str
    key: str
    person: str
    skill: str
    day: date
    made_at: datetime
    device_now: datetime
    known_at: datetime
    live: bool
    marks: Mapping[int, GivenMark]
    station: str = ""
    participant: str = ""
    remark: str = ""
    edition: int | None = None

    def clock_seconds(self, at: datetime) -> int:
        """Return how far the phone's clock was ahead when this arrived; negative where it was behind."""
        seconds = round((self.device_now - at).total_seconds())
        return max(-MOST_SECONDS, min(MOST_SECONDS, seconds))


class _Unreadable(Exception):
    """Why one field cannot be read."""


def read_sent(body: object) -> tuple[Sent | None, tuple[str, ...]]:
    """Return what was sent, or None and why it cannot be read. A form of this program."""
    if not isinstance(body, dict):
        return None, ("An observation is sent as one JSON object.",)
    try:
        return _read(body), ()
    except _Unreadable as no:
        return None, (str(no),)


def _read(body: Mapping[str, object]) -> Sent:
    return Sent(
        observer=_text(body, "observer"),
        key=_text(body, "key"),
        person=_text(body, "person"),
        skill=_text(body, "skill"),
        day=_day(body, "day"),
        made_at=_moment(body, "made_at"),
        device_now=_moment(body, "device_now"),
        known_at=_moment(body, "known_at"),
        live=_of(body, "live", bool, "true or false"),
        marks=_marks(body),
        station=_text(body, "station"),
        participant=_text(body, "participant"),
        remark=_text(body, "remark"),
        edition=_of(body, "edition", int, "a whole number"),
    )


def _of(body: Mapping[str, object], name: str, kind: type[T], words: str) -> T:
    value = body.get(name)
    # A bool is an int to Python, and to nobody else.
    if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
        raise _Unreadable(f"`{name}` is not {words}.")
    return value


def _text(body: Mapping[str, object], name: str) -> str:
    text = _of(body, name, str, "a text")
    if "\0" in text:
        raise _Unreadable(f"`{name}` holds a character that cannot be stored (NUL).")
    return _whole(text)


def _whole(text: str) -> str:
    """Return a text that can be stored: half a character, which JSON lets stand (RFC 8259, 8.2), becomes U+FFFD.

    Refused, it would never leave the phone, where what was saved cannot be written anew.
    """
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def _day(body: Mapping[str, object], name: str) -> date:
    try:
        return date.fromisoformat(_text(body, name))
    except ValueError:
        raise _Unreadable(f"`{name}` is not a day such as 2026-10-17.") from None


def _moment(body: Mapping[str, object], name: str) -> datetime:
    try:
        moment = datetime.fromisoformat(_text(body, name))
        if moment.tzinfo is None:
            raise ValueError
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        raise _Unreadable(f"`{name}` is not a moment such as 2026-10-17T14:20:00Z.") from None


def _marks(body: Mapping[str, object]) -> dict[int, GivenMark]:
    given = _of(body, "marks", list, "a list of marks")
    marks = {}
    for number, mark in enumerate(given, 1):
        if not isinstance(mark, dict):
            raise _Unreadable(f"Mark {number} is not an object with `mark` and `way`.")
        marks[number] = GivenMark(_text(mark, "mark"), _text(mark, "way"))
    return marks
