"""Where volunteers stand toward their course on a day: what is planned, what they missed, where it can be made up."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.availability import PERSON, Said, blocks_missed, deciding
from mentor_training.calendar.queries import said, sessions, terms
from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.terms import TermFact, current_term
from mentor_training.evidence.facts import COMPLETED
from mentor_training.evidence.tables import Record
from mentor_training.hours.caps import within_the_caps
from mentor_training.hours.queries import Log, live_hours, logs_of, section_people
from mentor_training.hours.rules import SESSION, elapsed_minutes
from mentor_training.hours.tables import HoursEntry
from mentor_training.hours.toward import WILL_MISS, Ahead, Span, Week, ahead_of, ends_of_weeks, weeks_of
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Course, Program
from mentor_training.program.queries import edition_in_force

NOT_THERE = "was not there"
NOT_COMING = "cannot come, as was said"
NOBODY = "nobody's hours are entered: it did not take place, or is not closed yet"


@dataclass(frozen=True)
class Slot:
    """A session with the minutes that it lasts for somebody, and why it was missed, where it was.

    `counted` is what the caps of the course would leave of the minutes of one to come.
    """

    session: SessionFact
    minutes: int
    why: str = ""
    counted: int = 0

    @property
    def over(self) -> int:
        """Return how many minutes would be over a cap, and count only if they were approved all the same."""
        return self.minutes - self.counted


@dataclass(frozen=True)
class Standing:
    """One volunteer: the log, where each required category stands, what is coming, was missed and can be made up."""

    log: Log
    ahead: tuple[Ahead, ...]
    coming: tuple[Slot, ...]
    missed: tuple[Slot, ...]
    made_up: tuple[Slot, ...]
    modules: tuple[tuple[str, int], ...]

    @property
    def will_miss(self) -> tuple[Ahead, ...]:
        """Return the categories whose requirement they will miss as it looks."""
        return tuple(one for one in self.ahead if one.outlook == WILL_MISS)

    @property
    def short(self) -> int:
        """Return the minutes that will be missing in all, as it looks."""
        return sum(one.short for one in self.will_miss)

    @property
    def is_met(self) -> bool:
        """Say whether every required minute is approved."""
        return bool(self.ahead) and all(not one.needed for one in self.ahead)


@dataclass(frozen=True)
class View:
    """Some volunteers' standings on a day, the term they are looked at in, and how far they were week by week."""

    on: date
    term: TermFact | None
    span: Span
    course: Course | None
    standings: tuple[Standing, ...]
    weeks: tuple[Week, ...]


@dataclass(frozen=True)
class _Known:
    """The term's sessions, those in which somebody's hours are entered, modules completed by whom, what was said."""

    sessions: Sequence[SessionFact]
    held: Collection[str]
    completed: Collection[tuple[str, str]]
    said: tuple[Said, ...]
    terms: Sequence[TermFact]
    zone: ZoneInfo


def section_ahead(db: Session, section: str, on: date, known_at: datetime, zone: ZoneInfo) -> View:
    """Return where the volunteers of a section stand on a day, as known at a moment."""
    return view_of(db, section_people(db, section), on, known_at, zone)


def view_of(db: Session, rows: Sequence[Person], on: date, known_at: datetime, zone: ZoneInfo) -> View:
    """Return where some volunteers stand on a day, in the order given; the course is that of the first."""
    logs = logs_of(db, rows, on, known_at)
    all_terms = terms(db)
    term = current_term(all_terms, on)
    span = Span(term.first_day, term.last_day) if term else Span(_first_day(logs, on))
    known = _known(db, [row.code for row in rows], term, span, all_terms, known_at, zone)
    published = edition_in_force(db, on, known_at)
    program = published.program if published else None
    course = logs[0].course if logs else None
    weeks = _weeks(db, logs, course, span, on, known_at)
    return View(on, term, span, course, tuple(_standing(one, known, span, on, program) for one in logs), weeks)


def _first_day(logs: Iterable[Log], on: date) -> date:
    return min((entry.day for log in logs for entry in log.entries), default=on)


def _known(
    db: Session, people: Sequence[str], term: TermFact | None, span: Span, all_terms: Sequence[TermFact],
    known_at: datetime, zone: ZoneInfo,
) -> _Known:  # fmt: skip
    inside = [one for one in sessions(db, span.first_day) if term is None or term.holds(one.day)]
    held = select(HoursEntry.about).where(HoursEntry.source == SESSION, HoursEntry.recorded_at <= known_at)
    query = select(Record.person, Record.item).where(
        Record.kind == COMPLETED, Record.person.in_(people), Record.recorded_at <= known_at
    )
    completed = {(person, item.partition("@")[0]) for person, item in db.execute(query)}
    return _Known(inside, set(db.scalars(held.distinct())), completed, said(db, known_at), all_terms, zone)


def _weeks(
    db: Session, logs: Sequence[Log], course: Course | None, span: Span, on: date, known_at: datetime
) -> tuple[Week, ...]:
    counted = [log for log in logs if course and log.course == course]
    found: dict[str, list[tuple[date, str, int]]] = {log.person: [] for log in counted}
    for fact in live_hours(db, list(found), on, known_at):
        found[fact.person].append((fact.first_day, fact.item, int(fact.note or 0)))
    return weeks_of(course.required_minutes, list(found.values()), ends_of_weeks(span, on)) if course else ()


def _standing(log: Log, known: _Known, span: Span, on: date, program: Program | None) -> Standing:
    expected, missed = _sessions_of(log, known, on)
    coming = _within_caps(log, (), sorted(expected, key=_when))
    planned = [(one.session.day, one.counted) for one in coming]
    required = log.course.required_minutes if log.course else {}
    ahead = tuple(
        ahead_of(one, planned if one.category == "direct" else (), span, on)
        for one in log.sums
        if one.category in required
    )
    open_to_them = _to_make_up(log.person, coming, known, on)
    made_up = tuple(_within_caps(log, coming, (one,))[0] for one in open_to_them)
    return Standing(log, ahead, coming, missed, made_up, _modules(log.person, known, program))


def _when(one: Slot) -> tuple[date, time, str]:
    return one.session.day, one.session.starts, one.session.code


def _within_caps(log: Log, before: Sequence[Slot], slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """Return sessions to come with what of their minutes would count, behind the log and those that come anyway."""
    caps = (log.course.day_cap_minutes, log.course.week_cap_minutes) if log.course else (None, None)
    planned = [(one.session.day, one.minutes) for one in (*before, *slots)]
    counted = within_the_caps(log.entries, planned, *caps)[len(before) :]
    return tuple(replace(one, counted=minutes) for one, minutes in zip(slots, counted, strict=True))


def _sessions_of(log: Log, known: _Known, on: date) -> tuple[tuple[Slot, ...], tuple[Slot, ...]]:
    """Return the sessions at which somebody is expected and that are to come, and those that they missed or will."""
    there = {entry.about for entry in log.entries if entry.source == SESSION}
    coming: list[Slot] = []
    missed: list[Slot] = []
    for session in known.sessions:
        if log.person not in session.volunteers or session.code in there:
            continue
        whole = _minutes(session, known.zone, session.starts, session.ends)
        if session.code in known.held:
            missed.append(Slot(session, whole, NOT_THERE))
        elif session.day < on:
            missed.append(Slot(session, whole, NOBODY))
        else:
            minutes = _minutes_there(log.person, session, known)
            (coming if minutes else missed).append(Slot(session, minutes or whole, "" if minutes else NOT_COMING))
    return tuple(coming), tuple(missed)


def _minutes_there(person: str, session: SessionFact, known: _Known) -> int:
    """Return the minutes that somebody would be there, by what was said: none where they miss every block."""
    away = blocks_missed(deciding(known.said, PERSON, person, session, known.terms), session)
    if away and len(away) == len(session.blocks):
        return 0
    blocks = [session.block(number) for number in away]
    lost = sum(_minutes(session, known.zone, one.starts, one.ends) for one in blocks if one)
    return _minutes(session, known.zone, session.starts, session.ends) - lost


def _to_make_up(person: str, coming: Sequence[Slot], known: _Known, on: date) -> Iterable[Slot]:
    """Yield sessions to come at which somebody is not expected, could be by what was said, and that meet no other."""
    for session in known.sessions:
        if session.day < on or session.code in known.held or person in session.volunteers:
            continue
        meets = any(_overlap(session, one.session) for one in coming)
        if not meets and (minutes := _minutes_there(person, session, known)):
            yield Slot(session, minutes)


def _overlap(one: SessionFact, other: SessionFact) -> bool:
    return one.day == other.day and one.starts < other.ends and other.starts < one.ends


def _minutes(session: SessionFact, zone: ZoneInfo, starts: time, ends: time) -> int:
    came, left = (datetime.combine(session.day, clock, tzinfo=zone) for clock in (starts, ends))
    return elapsed_minutes(came, left)


def _modules(person: str, known: _Known, program: Program | None) -> tuple[tuple[str, int], ...]:
    """Return titles and minutes of the modules that somebody has never completed."""
    modules = program.modules.values() if program else ()
    return tuple(
        (one.title, one.minutes)
        for one in modules
        if one.minutes and (person, f"module/{one.slug}") not in known.completed
    )
