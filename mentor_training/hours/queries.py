"""Reading the hours log: entries with what became of them, sums toward a course, statements."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import ProgramSession
from mentor_training.clock import day_in
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import HOURS, VOIDED, WITHDRAWN, Fact
from mentor_training.evidence.queries import as_fact
from mentor_training.evidence.tables import Record
from mentor_training.hours.caps import over_the_caps
from mentor_training.hours.rules import CategorySum, Entry, Rounding, sums_by_category
from mentor_training.hours.stated import StatedSum, stated_sums
from mentor_training.hours.struck import may_be_stated
from mentor_training.hours.tables import HoursApproval, HoursEntry, Statement, StatementLine
from mentor_training.hours.unusual import WaitingLine, waiting_lines
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.queries import volunteers
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Course, Program
from mentor_training.program.queries import edition_in_force, known_editions, require_edition

FAR = date.max


@dataclass(frozen=True)
class Log:
    """One volunteer's hours: the entries in the order of their days, and the sums toward the course.

    `unstated` is what is approved, still counts, and is on no statement yet.
    """

    person: str
    name: str
    section: str
    course: Course | None
    entries: tuple[Entry, ...]
    over: Mapping[int, int]
    sums: tuple[CategorySum, ...]
    unstated: tuple[Entry, ...]

    @property
    def waiting(self) -> tuple[WaitingLine, ...]:
        """Return what waits for approval: first what is unusual, then by day."""
        return waiting_lines(self.name, self.entries, self.over)

    @property
    def flagged(self) -> int:
        """Return how many of the waiting entries ask for a look."""
        return sum(line.asks_for_a_look for line in self.waiting)

    def sum_of(self, category: str) -> CategorySum:
        """Return the sum of one category, all zeros where there is nothing."""
        return next((one for one in self.sums if one.category == category), CategorySum(category))


def entries_of(
    db: Session, people: Collection[str], on: date = FAR, known_at: datetime | None = None
) -> tuple[Entry, ...]:
    """Return the entries of some people up to and including a day, as known at a moment, by day and then by number."""
    query = (
        select(HoursEntry, HoursApproval, Statement)
        .outerjoin(HoursApproval, HoursApproval.entry == HoursEntry.id)
        .outerjoin(StatementLine, StatementLine.entry == HoursEntry.id)
        .outerjoin(Statement, Statement.number == StatementLine.statement)
        .where(HoursEntry.person.in_(tuple(people)), HoursEntry.day <= on)
        .order_by(HoursEntry.day, HoursEntry.id)
    )
    if known_at:
        query = query.where(HoursEntry.recorded_at <= known_at)
    return tuple(
        as_entry(
            row,
            approval if approval and (not known_at or approval.moment <= known_at) else None,
            statement if statement and (not known_at or statement.made_at <= known_at) else None,
        )
        for row, approval, statement in db.execute(query)
    )


def as_entry(row: HoursEntry, approval: HoursApproval | None = None, statement: Statement | None = None) -> Entry:
    """Return a row, with what became of it, as a frozen fact."""
    return Entry(
        row.id, row.person, row.category, row.day, row.minutes, row.started_at, row.ended_at, row.source, row.about,
        row.flag, row.reason, row.corrects, row.entered_by,
        approval.approved_by if approval else "", approval.record if approval else "",
        statement.number if statement else "",
    )  # fmt: skip


def entry_for(db: Session, number: int) -> Entry:
    """Return an entry by its number."""
    row = db.get(HoursEntry, number)
    if row is None:
        raise NotFound(f"entry {number} in the hours log")
    return next(one for one in entries_of(db, (row.person,)) if one.id == number)


def live_hours(db: Session, people: Collection[str], on: date, known_at: datetime) -> tuple[Fact, ...]:
    """Return the evidence of approved hours of some people that counts on a day: neither voided nor withdrawn."""
    query = select(Record).where(
        Record.person.in_(tuple(people)), Record.kind.in_((HOURS, VOIDED, WITHDRAWN)), Record.recorded_at <= known_at
    )
    facts = [as_fact(row) for row in db.scalars(query.order_by(Record.number))]
    effect = effects(facts)
    return tuple(fact for fact in facts if fact.kind == HOURS and fact.first_day <= on and effect.stands(fact.code, on))


def logs_of(db: Session, rows: Collection[Person], on: date, known_at: datetime) -> tuple[Log, ...]:
    """Return the logs of some volunteers up to and including a day, as known at a moment, in the order given."""
    codes = [row.code for row in rows]
    published = edition_in_force(db, on, known_at)
    entries, facts = entries_of(db, codes, on, known_at), live_hours(db, codes, on, known_at)
    return tuple(
        _log(
            row,
            published.program.course_of_section(row.sections[0]) if published and row.sections else None,
            tuple(one for one in entries if one.person == row.code),
            tuple(fact for fact in facts if fact.person == row.code),
        )
        for row in rows
    )


def log_for(db: Session, row: Person, on: date, known_at: datetime) -> Log:
    """Return one volunteer's log; see `logs_of`."""
    return logs_of(db, (row,), on, known_at)[0]


def _log(row: Person, course: Course | None, entries: tuple[Entry, ...], facts: tuple[Fact, ...]) -> Log:
    over = over_the_caps(entries, course.day_cap_minutes, course.week_cap_minutes) if course else {}
    beside = Counter[str]()
    for fact in facts:
        beside[fact.item] += int(fact.note or 0)
    for one in entries:
        if one.approved_by:
            beside[one.category] -= one.minutes
    sums = sums_by_category(entries, course.required_minutes if course else {}, over, beside)
    live = {fact.code for fact in facts}
    unstated = may_be_stated(entries, live)
    return Log(row.code, row.name, row.sections[0] if row.sections else "", course, entries, over, sums, unstated)


def titles_of(db: Session, entries: Iterable[Entry], program: Program | None) -> dict[str, str]:
    """Return what people call the sessions and modules that entries are about."""
    about = {one.about for one in entries if one.about}
    sessions = db.scalars(select(ProgramSession).where(ProgramSession.code.in_(tuple(about))))
    titles = {row.code: row.title for row in sessions}
    for item in about - titles.keys():
        titles[item] = program.title_of(item.partition("@")[0]) if program else item
    return titles


def module_minutes(db: Session, at: datetime, item: str, program: Program) -> tuple[str, int, int]:
    """Return slug, edition and fixed minutes of a completed module such as `module/safety@2`.

    With no edition written it is the program's own. Minutes of another edition stand in the programs published
    before; 0 where none of them has it.
    """
    slug, _, written = item.removeprefix("module/").partition("@")
    module = program.modules.get(slug)
    edition = int(written) if written else module.edition if module else 0
    if module and module.edition == edition:
        return slug, edition, module.minutes
    others = (published.program.modules.get(slug) for published in known_editions(db, at))
    return slug, edition, next((other.minutes for other in others if other and other.edition == edition), 0)


def section_people(db: Session, section: str) -> list[Person]:
    """Return the volunteers of a section; of no section, for an empty text."""
    return [row for row in volunteers(db) if section in row.sections or (not section and not row.sections)]


def logs_of_section(db: Session, section: str, on: date, known_at: datetime) -> tuple[Log, ...]:
    """Return the logs of a section's volunteers, in the order of their codes."""
    return logs_of(db, section_people(db, section), on, known_at)


def sections_for(db: Session, viewer: Actor, on: date, known_at: datetime) -> tuple[str, ...]:
    """Return the sections whose hours a viewer looks after.

    A course instructor's are the own ones; the coordinator's are all that a course has, and the empty text stands for
    the volunteers of none.
    """
    if COORDINATOR not in viewer.roles:
        return viewer.sections
    published = edition_in_force(db, on, known_at)
    courses = published.program.courses.values() if published else ()
    return (*dict.fromkeys(code for course in courses for code in course.sections), "")


def open_section(viewer: Actor, section: str) -> None:
    """Let a viewer look at a section's hours, or raise NotAllowed: the own ones; for the coordinator all."""
    if COORDINATOR not in viewer.roles and section not in viewer.sections:
        raise NotAllowed(f"the hours of section {section}" if section else "the hours of volunteers in no section")


@dataclass(frozen=True)
class ToState:
    """What a statement of a section would take in, and of whom how many entries still wait for approval."""

    course: Course
    rounding: Rounding
    entries: tuple[Entry, ...]
    sums: tuple[StatedSum, ...]
    waits: Mapping[str, int]
    names: Mapping[str, str]

    @property
    def waiting(self) -> int:
        """Return how many entries wait for approval and would not be on it."""
        return sum(self.waits.values())

    @property
    def who_waits(self) -> str:
        """Say whose entries wait, and how many each has."""
        return ", ".join(f"{self.names[code]} ({code}) {count}" for code, count in self.waits.items())


def to_state(db: Session, section: str, through: date, known_at: datetime, zone: ZoneInfo) -> ToState:
    """Return what is approved up to and including a day and on no statement; refuse a section that no course has."""
    program = require_edition(db, through, known_at).program
    course = program.course_of_section(section)
    if course is None:
        known = ", ".join(code for one in program.courses.values() for code in one.sections)
        raise Refused(f"No course has a section {section or 'without a name'}; there are {known or 'none'}.")
    logs = logs_of_section(db, section, through, known_at)
    # What was withdrawn from a later day on no longer counts today, and no statement made today gives it out.
    today = max(through, day_in(zone, known_at))
    live = {fact.code for fact in live_hours(db, [log.person for log in logs], today, known_at)}
    entries = tuple(one for log in logs for one in may_be_stated(log.entries, live))
    rounding = rounding_of(program)
    names = {log.person: log.name for log in logs}
    sums = stated_sums(entries, names, rounding, zone)
    waits = {log.person: len(log.waiting) for log in logs if log.waiting}
    return ToState(course, rounding, entries, sums, waits, names)


def rounding_of(program: Program) -> Rounding:
    """Return how a program states hours."""
    return Rounding(program.policy.rounding, program.policy.round_minutes)


def statement_for(db: Session, viewer: Actor, number: str) -> Statement:
    """Return a statement of a section that the viewer looks after."""
    row = db.get(Statement, number)
    if row is None:
        raise NotFound(f"statement {number}")
    open_section(viewer, row.section)
    return row


def statements_of(db: Session, sections: Iterable[str]) -> list[Statement]:
    """Return the statements of some sections, newest first."""
    query = select(Statement).where(Statement.section.in_(tuple(sections)))
    return list(db.scalars(query.order_by(Statement.made_at.desc(), Statement.number.desc())))


def entries_on(db: Session, number: str) -> tuple[Entry, ...]:
    """Return the entries that a statement froze, by volunteer and day."""
    query = (
        select(HoursEntry, HoursApproval, Statement)
        .join(StatementLine, StatementLine.entry == HoursEntry.id)
        .join(Statement, Statement.number == StatementLine.statement)
        .join(HoursApproval, HoursApproval.entry == HoursEntry.id)
        .where(Statement.number == number)
        .order_by(HoursEntry.person, HoursEntry.day, HoursEntry.id)
    )
    return tuple(as_entry(*found) for found in db.execute(query))
