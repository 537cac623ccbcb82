"""Hours: training entered, time spent preparing added, approved every Monday, stated at the end of September."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.demo.cast import EAGER, Character, luck
from mentor_training.demo.stage import Stage
from mentor_training.demo.story.exceptions import must_refuse
from mentor_training.evidence.facts import COMPLETED
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.actions import adjust, approve, enter_by_hand, enter_module, enter_training_for
from mentor_training.hours.queries import logs_of_section
from mentor_training.hours.stating import make_statement
from mentor_training.program.queries import require_edition

SECTIONS = ("KIN-372-A", "KIN-372-B", "")
SUNDAYS = tuple(date(2026, 8, 30) + timedelta(weeks=week) for week in range(7))
STATED_SECTION, STATED_THROUGH, STATED_ON = "KIN-372-A", date(2026, 9, 30), date(2026, 10, 2)
# A check-out that was forgotten: the volunteer says that they left a little before the end.
LEFT_EARLY = ("v-014", "s-06", -8)
SET_UP = 0.35


def keep_hours(stage: Stage) -> None:
    """Put the weekly round of hours on the agenda, and the statement of September."""
    for sunday in SUNDAYS:
        stage.agenda.add(stage.moment(sunday, "20:30"), _enter_training, stage)
        for place, section in enumerate(SECTIONS):
            monday = stage.moment(sunday + timedelta(days=1), f"08:{30 + 5 * place}")
            stage.agenda.add(monday, approve_through, stage, section, sunday)
    day_before = stage.moment(STATED_ON - timedelta(days=1), "08:20")
    stage.agenda.add(day_before, _correct_forgotten, stage)
    stage.agenda.add(
        day_before + timedelta(minutes=20),
        approve_through,
        stage,
        STATED_SECTION,
        STATED_THROUGH,
    )
    stage.agenda.add(stage.moment(STATED_ON, "10:00"), _state, stage)


def prepare_a_session(stage: Stage, session: SessionFact) -> None:
    """Let some of those who come set up before a session, and enter the time as preparation afterwards."""
    for code in session.volunteers:
        who = stage.cast.characters[code]
        if who.pace == EAGER and luck("set-up", session.code, code).random() < SET_UP:
            come = stage.moment(session.day, session.starts) - timedelta(minutes=75)
            stage.agenda.add(come + timedelta(hours=5), _enter_set_up, who, come, session)


def _enter_set_up(db: Session, at: datetime, who: Character, come: datetime, session: SessionFact) -> None:
    leave = come + timedelta(minutes=40)
    enter_by_hand(db, at, who.actor, who.code, "preparation", session.day, come, leave, f"Set-up before {session.code}")


def _enter_training(db: Session, at: datetime, stage: Stage) -> None:
    program = require_edition(db, stage.day(at), at).program
    for one in stage.cast.newcomers:
        enter_training_for(db, at, one.code, program)
    for one in stage.cast.returning:
        # What they completed before this term came in with the register, minutes and all.
        for fact in facts_of(db, one.code, at, (COMPLETED,)):
            slug, _, edition = fact.item.removeprefix("module/").partition("@")
            if fact.recorded_by == one.code:
                minutes = program.modules[slug].minutes
                enter_module(db, at, one.code, one.code, slug, int(edition), minutes, fact.first_day)


def approve_through(db: Session, at: datetime, stage: Stage, section: str, through: date) -> None:
    """Approve what waits in a section, as who looks after it; what asks for a look is looked at another day."""
    logs = logs_of_section(db, section, through, at)
    waiting = [line.entry.id for log in logs for line in log.waiting if not line.asks_for_a_look]
    by = stage.cast.instructor_of(section) if section else stage.cast.coordinator
    if waiting:
        approve(db, at, by, waiting)


def _correct_forgotten(db: Session, at: datetime, stage: Stage) -> None:
    person, session, difference = LEFT_EARLY
    by = stage.cast.approver_of(person)
    logs = logs_of_section(db, by.sections[0], stage.day(at), at)
    forgotten = next(
        line.entry for log in logs for line in log.waiting if (log.person, line.entry.about) == (person, session)
    )
    adjust(db, at, by, forgotten.id, difference, "Left eight minutes early to catch the bus; asked and agreed.")
    approve(db, at, by, [forgotten.id])
    must_refuse(lambda: approve(db, at, stage.cast.people[person], [forgotten.id]), "Nobody confirms their own")


def _state(db: Session, at: datetime, stage: Stage) -> None:
    by = stage.cast.instructor_of(STATED_SECTION)
    make_statement(db, at, by, STATED_SECTION, STATED_THROUGH, stage.zone, stage.instance.settings.title)
