"""What stands for students on a day, gathered as their own pages say it; and to whom a note was sent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import day_in_words
from mentor_training.clearance.decision import Decision, atom_in_words
from mentor_training.clearance.queries import Gate, gate_at
from mentor_training.errors import NotFound
from mentor_training.hours.looking_ahead import Standing, View, view_of
from mentor_training.hours.queries import open_section, section_people
from mentor_training.learning.queries import Known, known, progress_of_all
from mentor_training.learning.rules.reading import Progress
from mentor_training.letters.notes import Beyond, Ending, Held, Note, Place, alike
from mentor_training.letters.queries.refused import set_aside
from mentor_training.letters.tables import Mail, MailEnd, MailMatter
from mentor_training.observing.queries.floor import SkillState, to_see
from mentor_training.papers.queries import papers_of
from mentor_training.papers.rules import IN_FORCE
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.tables import Person
from mentor_training.program.requirements import Atom, Item


@dataclass(frozen=True)
class _Asked:
    """Of which day notes are asked, what answers for it, and which skills stand how, by person."""

    db: Session
    on: date
    known_at: datetime
    gate: Gate
    then: Known
    view: View
    skills: dict[str, tuple[SkillState, ...]]
    last_session: date | None

    def held(self, code: str, item: str, title: str) -> Held | None:
        """Return an item with its last day if somebody holds it on the day."""
        span = self.gate.dossier(code).history(self.gate.edition(self.on)).span_on(item, self.on)
        return Held(title, span.last) if span else None


def note_people(db: Session, viewer: Actor, section: str) -> list[Person]:
    """Return the students of a section who would get a note; raises NotAllowed for whoever does not look after it."""
    open_section(viewer, section)
    found = section_people(db, section) if section else []
    if not found:
        raise NotFound(f"student in section {section!r}")
    return found


def may_see_beyond(viewer: Actor, person: str) -> bool:
    """Say whether a viewer sees a student's whole note: the student, and the coordinator."""
    return viewer.code == person or COORDINATOR in viewer.roles


def notes_of(
    db: Session, viewer: Actor, rows: Sequence[Person], on: date, known_at: datetime, zone: ZoneInfo
) -> tuple[Note, ...]:
    """Return what stands for some students on a day, as far as a viewer may see it; refused before any edition."""
    then, gate, view = known(db, known_at, zone, on), gate_at(db, known_at), view_of(db, rows, on, known_at, zone)
    skills = {one.person.code: one.states for one in to_see(db, tuple(rows), on, known_at)}
    in_term = [one.day for one in sessions(db, on) if view.term is None or view.term.holds(one.day)]
    asked = _Asked(db, on, known_at, gate, then, view, skills, max(in_term, default=None))
    standings = {one.log.person: one for one in view.standings}
    return tuple(_note(asked, row, standings[row.code], may_see_beyond(viewer, row.code)) for row in rows)


def _note(asked: _Asked, row: Person, standing: Standing, whole: bool) -> Note:
    course, term = standing.log.course, asked.view.term
    modules = progress_of_all(asked.db, row.code, asked.then)
    skills = [(one, asked.held(row.code, f"skill/{one.skill.slug}", one.skill.title)) for one in asked.skills[row.code]]
    completed = [(one, asked.held(row.code, f"module/{one.module.slug}", one.module.title)) for one in modules]
    return Note(
        person=row.code,
        name=row.name,
        section=standing.log.section,
        course=f"{course.code}, {course.title}" if course else "",
        on=asked.on,
        term=term.title if term else "",
        last_day=term.last_day if term else None,
        hours=standing.ahead,
        modules=tuple(held for one, held in completed if held and not one.retake),
        modules_open=tuple(_to_do(one) for one, held in completed if not held or one.retake),
        skills=tuple(held for _, held in skills if held),
        skills_begun=tuple(_begun(one) for one, held in skills if not held and one.group != "open"),
        skills_left=sum(not held and one.group == "open" for one, held in skills),
        last_session=asked.last_session,
        beyond=_beyond(asked, row.code) if whole else None,
    )


def _to_do(one: Progress) -> str:
    return f"{one.module.title} (again, by {day_in_words(one.retake.by)})" if one.retake else one.module.title


def _begun(one: SkillState) -> str:
    return f"{one.skill.title} (lapsed)" if one.signed else one.skill.title


def _beyond(asked: _Asked, code: str) -> Beyond:
    program = asked.gate.edition(asked.on).program
    decisions = [asked.gate.decide(code, slug, None, asked.on) for slug in program.stations]
    grounds = [ground for one in decisions for ground in one.grounds]
    entry = next((one.about for one in grounds if not isinstance(one.about, str)), ())
    return Beyond(
        alike(_place(one) for one in decisions),
        tuple(atom_in_words(one, program, decisions[0].holdings) for one in entry if not isinstance(one, str)),
        any(one.kind != "entry" for one in grounds),
        _endings(asked, code),
    )


def _place(one: Decision) -> Place:
    title = one.program.stations[one.station].title
    following = next(iter(one.missing), "")
    lacks = tuple(_lack(one, atom) for atom in one.missing[following]) if following else ()
    return Place((title,), int(one.level), following, lacks)


def _lack(one: Decision, atom: Atom) -> str:
    if isinstance(atom, Item):
        return f"{atom.name.partition('/')[0]} {one.program.title_of(atom.name)}"
    return atom_in_words(atom, one.program, one.holdings)


def _endings(asked: _Asked, code: str) -> tuple[Ending, ...]:
    """Return the papers in force that have ended by the last session to come, the first to end first."""
    last = asked.last_session
    found = [
        Ending(line.paper.title, line.state.day, bool(line.waiting))
        for line in (papers_of(asked.db, code, asked.on, asked.known_at) if last else ())
        if line.state.kind == IN_FORCE and line.state.day and last and line.state.day < last
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.title)))


# ---- what was sent ----


@dataclass(frozen=True)
class Sent:
    """That a note went to somebody, or did not: when it was begun, and how it ended; empty where nobody knows."""

    begun_at: datetime
    outcome: str
    code: int


def sent_notes(db: Session, key: str) -> dict[str, Sent]:
    """Return by person how the newest mail of one note ended."""
    query = (
        select(Mail.person, Mail.begun_at, MailEnd.outcome, MailEnd.code)
        .join(MailMatter, MailMatter.mail == Mail.number)
        .outerjoin(MailEnd, MailEnd.mail == Mail.number)
        .where(MailMatter.key == key)
        .order_by(Mail.number)
    )
    return {person: Sent(at, outcome or "", code or 0) for person, at, outcome, code in db.execute(query)}


def last_sent(db: Session, people: Sequence[str]) -> dict[str, datetime]:
    """Return by person when their newest note was begun that was accepted by a server."""
    query = (
        select(Mail.person, Mail.begun_at)
        .join(MailEnd, MailEnd.mail == Mail.number)
        .where(Mail.kind == "midterm", MailEnd.outcome == "accepted", Mail.person.in_(tuple(people)))
        .order_by(Mail.number)
    )
    return dict(db.execute(query).all())


def unreachable(db: Session) -> set[str]:
    """Return who has an address that is set aside: nothing is sent there until it is put right."""
    return {one.person for one in set_aside(db)}
