"""Noting when people can come: what volunteers say themselves, what the coordinator enters, and a file of both."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.actions import say
from mentor_training.calendar.availability import DAY, PARTICIPANT, PERSON, SESSION, TERM, answer_for, last_said
from mentor_training.calendar.availability_file import Row
from mentor_training.calendar.queries import said, session_for, term_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.errors import NotAllowed, NotFound, Refused, Stale
from mentor_training.people.permissions import OBSERVER, VOLUNTEER, Act, Actor
from mentor_training.people.queries import person_for
from mentor_training.planning.actions.turn import wait_for_turn
from mentor_training.planning.queries.attending import attending


def say_when(
    db: Session, at: datetime, by: Actor, person: str, about: str, which: str, answer: str, today: date,
    seen: int | None = None,
) -> bool:  # fmt: skip
    """Note what somebody says of when they can come, or the coordinator for them; return whether it is new.

    Refused about what is over, and about a session that is closed.
    """
    if person != by.code and not by.may(Act.PLAN):
        raise NotAllowed("saying for somebody else when they can come")
    if not {VOLUNTEER, OBSERVER} & set(person_for(db, person).roles):
        raise NotFound(f"volunteer or observer {person}")
    if _last_day(db, about, which) < today:
        raise Refused(f"{which} is over; nothing is said about it any more.")
    if about == SESSION:
        wait_for_turn(db, which)
    return say(db, at, by, PERSON, person, about, which, answer, seen)


def _last_day(db: Session, about: str, which: str) -> date:
    """Return the last day of what is spoken about; refuse what is not there."""
    if about == TERM:
        return term_for(db, which).last_day
    if about == SESSION:
        return session_for(db, which).day
    try:
        if about == DAY:
            return date.fromisoformat(which)
    except ValueError:
        pass
    raise Refused(f"{which!r} is no {about if about == DAY else 'term, day or session'}.")


def attend(db: Session, at: datetime, by: Actor, session: str, attended: Mapping[str, Iterable[int]], seen: int) -> int:
    """Note which blocks of a session participants attend; return of how many something changed.

    Who is placed stays placed: what no longer fits is shown until it is decided. `seen` is the number of what was said
    last when the page was opened; refused as a whole where something else was said about one of them since.
    """
    wait_for_turn(db, session)
    found = session_for(db, session)
    there = attending(db, found, at)
    changed = {
        code: answer_for(found, blocks)
        for code, blocks in attended.items()
        if code in found.participants and set(blocks) != _blocks_of(found, there.blocks_without(code))
    }
    latest = last_said(said(db, at, which={session}))
    overtaken = [
        code for code in changed if (one := latest.get((PARTICIPANT, code, SESSION, session))) and one.number > seen
    ]
    if overtaken:
        raise Stale("Somebody else changed who attends while your page was open; nothing of yours was stored yet.")
    for code, answer in changed.items():
        say(db, at, by, PARTICIPANT, code, SESSION, session, answer)
    return len(changed)


def _blocks_of(session: SessionFact, missed: Iterable[int]) -> set[int]:
    return {block.number for block in session.blocks} - set(missed)


def import_availability(db: Session, at: datetime, by: Actor, rows: Iterable[Row]) -> int:
    """Take checked rows in; return how many said something new."""
    return sum(say(db, at, by, row.kind, row.code, row.about, row.which, row.answer) for row in rows)
