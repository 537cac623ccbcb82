"""What a session must be: its blocks in order, inside it, and how many equal ones are cut; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time

MOST_BLOCKS = 24
# A slip of the year; and a moment in UTC can be told of any time on these days, wherever the program is.
FIRST_YEAR, LAST_YEAR = 1900, 2199


@dataclass(frozen=True)
class BlockSpan:
    """A slot of a session, counted from 1; times are in the program's time zone."""

    number: int
    starts: time
    ends: time


@dataclass(frozen=True)
class SessionFact:
    """One meeting of the program on one day, and who is expected."""

    code: str
    title: str
    day: date
    starts: time
    ends: time
    blocks: tuple[BlockSpan, ...]
    stations: tuple[str, ...]
    participants: tuple[str, ...]
    volunteers: tuple[str, ...]
    observers: tuple[str, ...]

    def block(self, number: int) -> BlockSpan | None:
        """Return a block by its number."""
        return next((block for block in self.blocks if block.number == number), None)

    def expected(self, kind: str) -> tuple[str, ...]:
        """Return who of a kind is expected: participant, volunteer or observer."""
        return {"participant": self.participants, "volunteer": self.volunteers, "observer": self.observers}[kind]


@dataclass(frozen=True)
class SessionFault:
    """Which detail of a session is wrong, and what is wrong with it."""

    detail: str
    what: str


def minutes_of(moment: time) -> int:
    """Return the minutes since midnight."""
    return moment.hour * 60 + moment.minute


def time_of(minutes: int) -> time:
    """Return the time so many minutes after midnight, 0 to 1439."""
    return time(minutes // 60, minutes % 60)


def equal_blocks(starts: time, ends: time, count: int) -> tuple[BlockSpan, ...]:
    """Cut a session into equal blocks of whole minutes, one after the other; odd minutes stay free at its end.

    A rule of this program. Empty where a block would have no minute.
    """
    length = (minutes_of(ends) - minutes_of(starts)) // count
    if length < 1:
        return ()
    edges = [minutes_of(starts) + length * place for place in range(count + 1)]
    return tuple(BlockSpan(place + 1, time_of(edges[place]), time_of(edges[place + 1])) for place in range(count))


def read_blocks(text: str, starts: time, ends: time) -> tuple[BlockSpan, ...] | None:
    """Read blocks written `09:50-10:02;10:05-10:17` or as one whole number of equal ones; None where it is neither."""
    if re.fullmatch(r"\d{1,2}", text):
        return equal_blocks(starts, ends, int(text)) if 1 <= int(text) <= MOST_BLOCKS else None
    spans = [re.fullmatch(r"(\d{2}:\d{2})-(\d{2}:\d{2})", part.strip()) for part in text.split(";")]
    try:
        found = [(time.fromisoformat(span[1]), time.fromisoformat(span[2])) for span in spans if span]
    except ValueError:
        return None
    if len(found) != len(spans):
        return None
    return tuple(BlockSpan(number, *span) for number, span in enumerate(found, 1))


def write_blocks(blocks: Iterable[BlockSpan]) -> str:
    """Write blocks as the files have them."""
    return ";".join(f"{block.starts:%H:%M}-{block.ends:%H:%M}" for block in blocks)


def day_faults(day: date) -> tuple[SessionFault, ...]:
    """Return what is wrong with a day for a session, empty when nothing is."""
    if FIRST_YEAR <= day.year <= LAST_YEAR:
        return ()
    return (SessionFault("day", f"{day} is not in the years {FIRST_YEAR} to {LAST_YEAR}"),)


def session_faults(session: SessionFact) -> tuple[SessionFault, ...]:
    """Return what is wrong with a session's day and times, empty when nothing is. A rule of this program."""
    faults = list(day_faults(session.day))
    if session.ends <= session.starts:
        faults.append(SessionFault("ends", f"{session.ends:%H:%M} is not after the start, {session.starts:%H:%M}"))
    if not session.blocks:
        faults.append(SessionFault("blocks", "there is no block"))
    if len(session.blocks) > MOST_BLOCKS:
        faults.append(SessionFault("blocks", f"{len(session.blocks)} blocks are too many; {MOST_BLOCKS} are the most"))
    if [block.number for block in session.blocks] != list(range(1, len(session.blocks) + 1)):
        faults.append(SessionFault("blocks", "they are not counted 1, 2, 3 and so on"))
    for block in session.blocks:
        if block.ends <= block.starts:
            faults.append(SessionFault("blocks", f"block {block.number} ends before it begins"))
        if block.starts < session.starts or block.ends > session.ends:
            faults.append(SessionFault("blocks", f"block {block.number} lies outside the session"))
    for one, following in zip(session.blocks, session.blocks[1:], strict=False):
        if following.starts < one.ends:
            faults.append(
                SessionFault("blocks", f"block {following.number} begins before block {one.number} has ended")
            )
    return tuple(faults)


def day_in_words(day: date) -> str:
    """Write a day for a reason that a person reads: Sat 17 Oct 2026, whatever the machine's language."""
    weekday = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[day.weekday()]
    month = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")[day.month - 1]
    return f"{weekday} {day.day} {month} {day.year}"
