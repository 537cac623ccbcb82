"""Looking up sessions with their blocks and who is expected, terms, and who can come when."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable
from datetime import date, datetime

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from mentor_training.calendar.availability import Said
from mentor_training.calendar.rules import BlockSpan, SessionFact, day_in_words
from mentor_training.calendar.tables import Availability, Block, Expected, Feed, ProgramSession, Term
from mentor_training.calendar.terms import TermFact
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.journal.tables import JournalEntry
from mentor_training.people.permissions import Act, Actor
from mentor_training.people.queries import actor_of, person_for
from mentor_training.program.queries import known_editions

PARTICIPANT, VOLUNTEER, OBSERVER = "participant", "volunteer", "observer"
# The kind of a session's entries in the journal.
SESSION = "session"


def session_for(db: Session, code: str) -> SessionFact:
    """Return a session by code."""
    row = db.get(ProgramSession, code)
    if row is None:
        raise NotFound(f"session {code}")
    return _with_details(db, [row])[0]


def seen_session(db: Session, viewer: Actor, code: str) -> SessionFact:
    """Return a session that a viewer may see whole: the coordinator all, an observer their own."""
    session = session_for(db, code)
    if not viewer.may(Act.PLAN) and viewer.code not in session.observers:
        raise NotAllowed("a session that you do not observe")
    return session


def sessions(db: Session, since: date | None = None) -> list[SessionFact]:
    """Return all sessions, or those from a day on, by day and start."""
    return _with_details(db, list(db.scalars(_in_order(since))))


def _in_order(since: date | None) -> Select[ProgramSession]:
    query = select(ProgramSession).order_by(ProgramSession.day, ProgramSession.starts, ProgramSession.code)
    return query if since is None else query.where(ProgramSession.day >= since)


def own_sessions(db: Session, viewer: Actor, since: date | None = None) -> list[SessionFact]:
    """Return the sessions that concern a viewer, all or from a day on: for the coordinator every one."""
    if viewer.may(Act.PLAN):
        return sessions(db, since)
    own = select(Expected.session).where(Expected.code == viewer.code, Expected.kind.in_((OBSERVER, VOLUNTEER)))
    return _with_details(db, list(db.scalars(_in_order(since).where(ProgramSession.code.in_(own)))))


def last_changes(db: Session) -> dict[str, datetime]:
    """Return when each session was made or last changed, by the journal."""
    newest = func.max(JournalEntry.moment)
    query = select(JournalEntry.subject, newest).where(JournalEntry.kind == SESSION).group_by(JournalEntry.subject)
    made = dict(db.execute(select(ProgramSession.code, ProgramSession.recorded_at)).all())
    return made | dict(db.execute(query).all())


def last_change(db: Session, session: str) -> tuple[str, datetime] | None:
    """Return who made or changed a session last, and when, by the journal; None where the journal knows nothing."""
    query = select(JournalEntry.who, JournalEntry.moment).where(
        JournalEntry.kind == SESSION, JournalEntry.subject == session
    )
    row = db.execute(query.order_by(JournalEntry.number.desc()).limit(1)).first()
    return (row[0], row[1]) if row else None


def terms(db: Session) -> list[TermFact]:
    """Return all terms as they were said last, by their first days."""
    newest = {row.code: row for row in db.scalars(select(Term).order_by(Term.number))}
    found = (
        TermFact(row.code, row.title, row.first_day, row.last_day, tuple(map(date.fromisoformat, row.holidays)))
        for row in newest.values()
    )
    return sorted(found, key=lambda one: (one.first_day, one.code))


def term_for(db: Session, code: str) -> TermFact:
    """Return a term by code."""
    found = next((one for one in terms(db) if one.code == code), None)
    if found is None:
        raise NotFound(f"term {code}")
    return found


def said(
    db: Session, known_at: datetime, kind: str = "", code: str = "", which: Collection[str] = ()
) -> tuple[Said, ...]:
    """Return all that was said up to a moment of when people can come, the first said first.

    Of everybody or of one; about everything, or only about some terms, days and sessions.
    """
    query = select(Availability).where(Availability.said_at <= known_at).order_by(Availability.number)
    if which:
        query = query.where(Availability.which.in_(which))
    if code:
        query = query.where(Availability.kind == kind, Availability.code == code)
    return tuple(
        Said(row.number, row.kind, row.code, row.about, row.which, row.answer, row.said_at, row.said_by)
        for row in db.scalars(query)
    )


def feed_of(db: Session, person: str) -> Feed | None:
    """Return the calendar address that a person has made for themselves, without its secret; None without one."""
    return db.get(Feed, person)


def whose_feed(db: Session, token: str) -> Actor:
    """Return whose calendar a secret opens, with the roles they have now."""
    row = db.scalar(select(Feed).where(Feed.token_hash == hashed(token)))
    person = actor_of(person_for(db, row.person)) if row else None
    if person is None or not person.may(Act.SEE_SESSIONS):
        raise NotFound("this calendar; its address may have been renewed")
    return person


def hashed(token: str) -> str:
    """Return what is kept of a secret: its SHA-256, since 256 random bits cannot be guessed from it."""
    return hashlib.sha256(token.encode()).hexdigest()


def upcoming(db: Session, today: date, kind: str = "", code: str = "") -> list[SessionFact]:
    """Return today's and later sessions; of one person or participant, where a kind and a code are given."""
    found = sessions(db, since=today)
    return [one for one in found if not code or code in one.expected(kind)]


def blocks_of(db: Session, session: str) -> tuple[BlockSpan, ...]:
    """Return the blocks of a session in their order."""
    return session_for(db, session).blocks


def known_stations(db: Session, known_at: datetime) -> frozenset[str] | None:
    """Return the stations that any known edition defines, or None where none is published yet."""
    editions = known_editions(db, known_at)
    return frozenset(slug for edition in editions for slug in edition.program.stations) if editions else None


def _with_details(db: Session, rows: list[ProgramSession]) -> list[SessionFact]:
    codes = [row.code for row in rows]
    blocks: dict[str, list[BlockSpan]] = {code: [] for code in codes}
    spans = select(Block.session, Block.number, Block.starts, Block.ends).where(Block.session.in_(codes))
    for session, number, starts, ends in db.execute(spans.order_by(Block.session, Block.number)):
        blocks[session].append(BlockSpan(number, starts, ends))
    people: dict[tuple[str, str], list[str]] = {}
    expected = select(Expected.session, Expected.kind, Expected.code).where(Expected.session.in_(codes))
    for session, kind, code in db.execute(expected):
        people.setdefault((session, kind), []).append(code)
    return [_fact(row, blocks[row.code], people) for row in rows]


def _fact(row: ProgramSession, blocks: Iterable[BlockSpan], people: dict[tuple[str, str], list[str]]) -> SessionFact:
    participants, volunteers, observers = (
        tuple(sorted(people.get((row.code, kind), ()))) for kind in (PARTICIPANT, VOLUNTEER, OBSERVER)
    )
    return SessionFact(
        row.code, row.title, row.day, row.starts, row.ends, tuple(blocks), row.stations,
        participants, volunteers, observers,
    )  # fmt: skip


def refuse_too_early(db: Session, days: Iterable[date], known_at: datetime) -> None:
    """Refuse days before any edition of the program is in force: such a session could be neither planned nor closed.

    Asked where sessions are made by hand; what is imported may lie further back. A rule of this program.
    """
    first, earliest = min((one.effective for one in known_editions(db, known_at)), default=None), min(days)
    if first is None:
        raise Refused("No edition of the program is published yet; publish one first, then make sessions.")
    if earliest < first:
        raise Refused(
            f"On {day_in_words(earliest)} no edition of the program is in force: the first takes effect on "
            f"{day_in_words(first)}. A session before it could be neither planned nor closed."
        )
