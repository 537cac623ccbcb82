"""Holding a roster against the people there are, and gathering the results that go back to the registrar."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.evidence.corrections import effects
from mentor_training.evidence.facts import COMPLETED, VOIDED, WITHDRAWN
from mentor_training.evidence.queries import facts_of
from mentor_training.hours.queries import section_people, statements_of
from mentor_training.hours.stated import sums_in
from mentor_training.people.queries import people
from mentor_training.people.roster import Row
from mentor_training.program.queries import edition_in_force, require_edition
from mentor_training.roster.reading import Roster, read_roster
from mentor_training.roster.results import Results, Standing, write_results
from mentor_training.roster.rules import Comparison, compare, section_of


def known_sections(db: Session, at: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """Return the sections of the courses of the program in force; none before there is one."""
    published = edition_in_force(db, day_in(zone, at), at)
    courses = published.program.courses.values() if published else ()
    return tuple(code for course in courses for code in course.sections)


def look_at(db: Session, at: datetime, zone: ZoneInfo, texts: Mapping[str, str]) -> tuple[Roster, Comparison | None]:
    """Return a roster with all that is wrong with it, and what it would change; None while anything is wrong."""
    roster = read_roster(texts)
    if roster.findings:
        return roster, None
    sections = known_sections(db, at, zone)
    there = [Row(one.code, one.name, one.email, one.roles, one.sections) for one in people(db)]
    found = compare(roster, there, sections)
    return roster, None if roster.findings else found


def results_for(
    db: Session, at: datetime, zone: ZoneInfo, roster: Roster, found: Comparison, section: str
) -> dict[str, str]:
    """Return the files with the results of a section, in the registrar's own names for class and students.

    Hours are those of the section's statements, as stated there; a module counts once completed and not taken back.
    """
    today = day_in(zone, at)
    program = require_edition(db, today, at).program
    course = program.course_of_section(section)
    class_id = next((one for one in roster.of("classes") if section_of(roster, one, (section,))), "")
    if course is None or not class_id:
        raise Refused(f"Section {section} is {'no class of the roster' if course else 'in no course of the program'}.")
    hours = [one for row in statements_of(db, (section,)) for one in sums_in(row.body)]
    standings = []
    for person in section_people(db, section):
        if person.code in found.users:
            mine = [one for one in hours if one.person == person.code]
            days = _completed(db, at, person.code)
            standings.append(Standing(found.users[person.code], mine, days))
    known = {slug: module.title for slug, module in sorted(program.modules.items())}
    return write_results(roster, class_id, Results(course.required_minutes, known, standings, today))


def _completed(db: Session, at: datetime, person: str) -> dict[str, str]:
    """Return the day on which somebody last completed each module, by its slug."""
    facts = facts_of(db, person, at, (COMPLETED, VOIDED, WITHDRAWN))
    effect = effects(facts)
    return {
        fact.item.removeprefix("module/").partition("@")[0]: fact.first_day.isoformat()
        for fact in facts
        if fact.kind == COMPLETED and fact.code not in effect.voided and fact.code not in effect.cut
    }
