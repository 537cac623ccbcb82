"""Who can come when, by what was said: over a term by the days of the week, of a day, or of a session; pure.

An answer is written in one of these ways, the same in a form, in a file and in the journal:

- `can`, `cannot`: the whole of it;
- `unsaid`: what was said is taken back, as if nothing had been;
- for a term `SA 09:00-12:00;TU 16:00-18:00`, and nothing besides, days as RFC 5545 names them;
- for a day or a session `09:00-10:30;11:00-12:00`, and nothing besides;
- for a session `blocks 1;3`, and none besides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from mentor_training.calendar.recurrence import WEEKDAYS
from mentor_training.calendar.rules import BlockSpan, SessionFact
from mentor_training.calendar.terms import TermFact, term_of

PERSON, PARTICIPANT = "person", "participant"
TERM, DAY, SESSION = "term", "day", "session"
CAN, CANNOT, UNSAID = "can", "cannot", "unsaid"
WHOLE = (CAN, CANNOT, UNSAID)
BLOCKS = "blocks "
TIMES = re.compile(r"([0-9]{2}:[0-9]{2})-([0-9]{2}:[0-9]{2})")
FORMS = {
    TERM: "write can, cannot, unsaid, or times by day of the week such as SA 09:00-12:00;TU 16:00-18:00",
    DAY: "write can, cannot, unsaid, or times such as 09:00-10:30;11:00-12:00",
    SESSION: "write can, cannot, unsaid, times such as 09:00-10:30, or blocks such as: blocks 1;3",
}

Span = tuple[time, time]


@dataclass(frozen=True)
class Said:
    """What was said of when somebody can come: about a term, a day or a session, by whom and when.

    `number` says which came first; `kind` is person or participant; `which` is the term's code, the day as
    YYYY-MM-DD, or the session's code.
    """

    number: int
    kind: str
    code: str
    about: str
    which: str
    answer: str
    said_at: datetime
    said_by: str


def read_spans(text: str) -> tuple[Span, ...] | None:
    """Read times of day, put in order, those that touch or overlap made one; None where it is not so written."""
    found = []
    for part in text.split(";"):
        written = TIMES.fullmatch(part.strip())
        if not written:
            return None
        try:
            starts, ends = time.fromisoformat(written[1]), time.fromisoformat(written[2])
        except ValueError:
            return None
        if ends <= starts:
            return None
        found.append((starts, ends))
    return _joined(found)


def read_week(text: str) -> Mapping[int, tuple[Span, ...]] | None:
    """Read times by the day of the week (0 is Monday); None where it is not so written."""
    found: dict[int, list[Span]] = {}
    for part in text.split(";"):
        name, _, times = part.strip().partition(" ")
        spans = read_spans(times)
        if name not in WEEKDAYS or spans is None:
            return None
        found.setdefault(WEEKDAYS.index(name), []).extend(spans)
    return {weekday: _joined(found[weekday]) for weekday in sorted(found)}


def write_spans(spans: Iterable[Span]) -> str:
    """Write times of day as they are read."""
    return ";".join(f"{starts:%H:%M}-{ends:%H:%M}" for starts, ends in spans)


def write_week(week: Mapping[int, Iterable[Span]]) -> str:
    """Write times by the day of the week as they are read."""
    return ";".join(f"{WEEKDAYS[day]} {write_spans([span])}" for day in sorted(week) for span in week[day])


def _joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    found: list[Span] = []
    for starts, ends in sorted(spans):
        if found and starts <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((starts, ends))
    return tuple(found)


def read_answer(about: str, text: str) -> str | None:
    """Return an answer as it is stored, in one way of writing it; None where it is not an answer about that."""
    text = " ".join(text.split())
    if text in WHOLE:
        return text
    if about == TERM:
        week = read_week(text)
        return write_week(week) if week else None
    if about == SESSION and text.startswith(BLOCKS):
        numbers = [part.strip() for part in text.removeprefix(BLOCKS).split(";")]
        known = all(re.fullmatch(r"[1-9][0-9]?", one) for one in numbers)
        return BLOCKS + ";".join(str(one) for one in sorted({int(number) for number in numbers})) if known else None
    spans = read_spans(text)
    return write_spans(spans) if spans else None


def last_said(said: Iterable[Said]) -> dict[tuple[str, str, str, str], Said]:
    """Return what was said last of everybody about each thing, by kind, code, about and which; taken back or not."""
    return {(one.kind, one.code, one.about, one.which): one for one in sorted(said, key=lambda one: one.number)}


def deciding(
    said: Iterable[Said], kind: str, code: str, session: SessionFact, terms: Sequence[TermFact]
) -> Said | None:
    """Return what was said that decides whether somebody comes to a session; None where nothing was. A rule of this
    program.

    What was said last about the session or its day; where nothing was, what was said last about its term.
    """
    latest = last_said(one for one in said if (one.kind, one.code) == (kind, code) and one.answer)
    term = term_of(terms, session.day)
    closer = [latest.get((kind, code, SESSION, session.code)), latest.get((kind, code, DAY, session.day.isoformat()))]
    standing = [one for one in closer if one and one.answer != UNSAID]
    if standing:
        return max(standing, key=lambda one: one.number)
    general = latest.get((kind, code, TERM, term.code)) if term else None
    return general if general and general.answer != UNSAID else None


def comes(decided: Said | None, day: date, block: BlockSpan) -> bool:
    """Say whether somebody comes in a block by what decides; of whom nothing was said comes. A rule of this program.

    They come where they can be there from its beginning to its end.
    """
    if decided is None or decided.answer in (CAN, UNSAID):
        return True
    if decided.answer == CANNOT:
        return False
    if decided.answer.startswith(BLOCKS):
        return str(block.number) in decided.answer.removeprefix(BLOCKS).split(";")
    if decided.about == TERM:
        spans = (read_week(decided.answer) or {}).get(day.weekday(), ())
    else:
        spans = read_spans(decided.answer) or ()
    return any(starts <= block.starts and block.ends <= ends for starts, ends in spans)


def blocks_missed(decided: Said | None, session: SessionFact) -> tuple[int, ...]:
    """Return the blocks of a session in which somebody does not come, in their order."""
    return tuple(block.number for block in session.blocks if not comes(decided, session.day, block))


def answer_for(session: SessionFact, attended: Iterable[int]) -> str:
    """Return the answer that says in which blocks of a session somebody comes."""
    numbers = {one.number for one in session.blocks}
    there = sorted(numbers & set(attended))
    if len(there) == len(numbers):
        return CAN
    return BLOCKS + ";".join(str(one) for one in there) if there else CANNOT
