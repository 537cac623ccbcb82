"""What is printed for the floor: name tags for those who are expected, and sheets to observe on."""

from __future__ import annotations

from flask import Response, render_template, request

from mentor_training.calendar.queries import OBSERVER, seen_session, upcoming
from mentor_training.errors import NotFound, Refused
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.floor import asked
from mentor_training.observing.pdf import sheet_pdf, tags_pdf
from mentor_training.observing.queries.floor import volunteers_before
from mentor_training.observing.rules.results import objections_to_criteria
from mentor_training.people.access import db, guarded, instance, me, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers
from mentor_training.people.tables import Person
from mentor_training.program.queries import require_edition
from mentor_training.web.display import show_day
from mentor_training.web.paper_size import SIZES, as_pdf, asked_size

NEXT_SESSIONS = 6


@pages.get("/prints")
@guarded(Act.SEE_OBSERVATIONS)
def prints() -> str:
    """Show what can be printed for the floor, and where a sheet that was written on is typed in."""
    day, known_at = asked()
    program = require_edition(db(), day, known_at).program
    sees_all = me().may(Act.PLAN)
    coming = upcoming(db(), today()) if sees_all else upcoming(db(), today(), OBSERVER, me().code)
    return render_template(
        "observing/prints.html",
        sessions=coming[:NEXT_SESSIONS],
        sees_all=sees_all,
        skills=[skill for skill in program.skills.values() if skill.criteria],
        stations=list(program.stations.values()),
        sizes=SIZES,
    )


@pages.get("/prints/tags.pdf")
@guarded(Act.SEE_OBSERVATIONS)
def tags() -> Response:
    """Give name tags for the volunteers of a session, or for all whom one may see; participants wear none."""
    size, code = asked_size(), request.args.get("session", "")
    whose, people = _of_session(code) if code else ("all volunteers", volunteers_before(db(), me(), today()))
    if not people:
        raise Refused(f"There is nobody to print a name tag for: no volunteer is expected ({whose}).")
    settings = instance().settings
    lines = [(row.code, row.name) for row in sorted(people, key=lambda row: row.name)]
    content = tags_pdf(lines, whose, settings.title, settings.address, size)
    return as_pdf(content, f"name-tags-{code or 'all'}")


@pages.get("/sheets/<slug>.pdf")
@guarded(Act.SEE_OBSERVATIONS)
def sheet(slug: str) -> Response:
    """Give the sheet on which one observation of a skill is written when nothing else works."""
    size, (day, known_at) = asked_size(), asked()
    published = require_edition(db(), day, known_at)
    skill = published.program.skills.get(slug)
    if skill is None:
        raise NotFound(f"skill {slug}")
    if against := objections_to_criteria(skill.criteria):
        raise Refused(*against)
    settings = instance().settings
    return as_pdf(sheet_pdf(skill, published, settings.title, settings.address, size), f"sheet-{slug}")


def _of_session(code: str) -> tuple[str, list[Person]]:
    session = seen_session(db(), me(), code)
    whose = f"{session.title}, {show_day(session.day)}"
    return whose, [row for row in volunteers(db()) if row.code in session.volunteers]
