"""The form of sessions.csv: what a row may say, with every finding by row and column; pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import time

from mentor_training.calendar.rules import (
    MOST_BLOCKS,
    BlockSpan,
    SessionFact,
    read_blocks,
    session_faults,
    write_blocks,
)
from mentor_training.csv_form import Cells, Problem, read_rows

COLUMNS = (
    "session", "title", "day", "starts", "ends", "blocks", "stations", "participants", "volunteers", "observers",
)  # fmt: skip
BLOCKS_FORM = f"write spans such as 09:50-10:02;10:05-10:17, or how many equal blocks (1 to {MOST_BLOCKS})"

# What would be right, by the detail of a session that is wrong.
RIGHT = {"day": "check the year", "ends": "write a later time", "blocks": BLOCKS_FORM}


@dataclass(frozen=True)
class Known:
    """The codes that a session may name; stations are None where no program is published yet."""

    stations: frozenset[str] | None
    participants: frozenset[str]
    volunteers: frozenset[str]
    observers: frozenset[str]


def read_sessions(text: str, known: Known) -> tuple[list[SessionFact], list[Problem]]:
    """Read sessions."""
    cells, problems = read_rows(text, COLUMNS)
    seen: dict[str, int] = {}
    found: list[SessionFact] = []
    for row in cells:
        session = _session(row, known)
        row.once("session", seen, "two rows for one session")
        for fault in session_faults(session) if session else ():
            row.problem(fault.detail, fault.what, RIGHT[fault.detail])
        problems.extend(row.problems)
        if session and not row.problems:
            found.append(session)
    return found, problems


def _session(row: Cells, known: Known) -> SessionFact | None:
    code, title, day = row.code("session"), row.needed("title"), row.day("day")
    starts, ends = row.time("starts"), row.time("ends")
    stations = row.words("stations", allowed=known.stations)
    participants = row.words("participants", allowed=known.participants)
    volunteers = row.words("volunteers", allowed=known.volunteers)
    observers = row.words("observers", allowed=known.observers)
    blocks = _blocks(row, starts, ends) if starts is not None and ends is not None else None
    if day is None or starts is None or ends is None or blocks is None:
        return None
    return SessionFact(code, title, day, starts, ends, blocks, stations, participants, volunteers, observers)


def _blocks(row: Cells, starts: time, ends: time) -> tuple[BlockSpan, ...] | None:
    blocks = read_blocks(row.text("blocks"), starts, ends)
    if blocks is None:
        row.problem("blocks", f"{row.text('blocks')!r} is neither spans nor a number", BLOCKS_FORM)
    return blocks


def as_row(session: SessionFact) -> tuple[object, ...]:
    """Return a session as a row of the file."""
    lists = (
        ";".join(words) for words in (session.stations, session.participants, session.volunteers, session.observers)
    )
    times = (f"{session.starts:%H:%M}", f"{session.ends:%H:%M}", write_blocks(session.blocks))
    return (session.code, session.title, session.day, *times, *lists)
