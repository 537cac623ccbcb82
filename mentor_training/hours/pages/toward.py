"""Toward the requirement: one student's page, a section's picture and list of who will miss what."""

from __future__ import annotations

from flask import Response, render_template, request, url_for

from mentor_training.errors import NotFound
from mentor_training.hours import queries
from mentor_training.hours.exports import ahead_csv
from mentor_training.hours.looking_ahead import View, section_ahead, view_of
from mentor_training.hours.pages.answering import asked, file
from mentor_training.hours.pages.blueprint import pages
from mentor_training.hours.pages.sections import NO_SECTION
from mentor_training.hours.pictures import draw_toward, in_words
from mentor_training.hours.toward import HOURS_PER_CREDIT, OUTLOOKS, credits_worth
from mentor_training.people.access import db, guarded, instance, me
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.web.charts import BY_DAY, BY_NIGHT


@pages.get("/hours/toward")
@guarded(Act.SEE_OWN_HOURS)
def own_toward() -> str:
    """Show one's own way to the requirement: done, approved, planned, still needed, and by when."""
    return _student_page(person_for(db(), me().code), url_for("hours.own"), "My hours")


@pages.get("/hours/sections/<code>/volunteers/<person>")
@guarded(Act.SEE_SECTION_HOURS)
def student(code: str, person: str) -> str:
    """Show the same of one volunteer of a section."""
    row = next((one for one in queries.section_people(db(), _opened(code)) if one.code == person), None)
    if row is None:
        raise NotFound(f"volunteer {person} in {code}")
    return _student_page(row, url_for("hours.section_toward", code=code), "The whole section")


@pages.get("/hours/sections/<code>/toward")
@guarded(Act.SEE_SECTION_HOURS)
def section_toward(code: str) -> str:
    """Show how far a section is, week by week, who will miss what, and what was missed with where to make it up."""
    view = _view(code)
    return render_template(
        "hours/section_toward.html",
        code="" if code == NO_SECTION else code,
        written=code,
        view=view,
        outlooks=OUTLOOKS,
        description=in_words(view),
        missing=sorted((one for one in view.standings if one.will_miss), key=lambda one: -one.short),
        met=sum(one.is_met for one in view.standings),
    )


@pages.get("/hours/sections/<code>/toward.svg")
@guarded(Act.SEE_SECTION_HOURS)
def toward_picture(code: str) -> Response:
    """Give the picture, by day or by night, for a desk or a phone."""
    colors = BY_NIGHT if request.args.get("night") else BY_DAY
    return Response(draw_toward(_view(code), colors, bool(request.args.get("phone"))), content_type="image/svg+xml")


@pages.get("/hours/sections/<code>/toward.csv")
@guarded(Act.SEE_SECTION_HOURS)
def toward_csv(code: str) -> Response:
    """Give where each volunteer of a section stands as CSV."""
    return file(ahead_csv(_view(code).standings), f"toward-{code}.csv")


def _opened(written: str) -> str:
    code = "" if written == NO_SECTION else written
    queries.open_section(me(), code)
    return code


def _view(written: str) -> View:
    return section_ahead(db(), _opened(written), *asked(), instance().settings.zone)


def _student_page(row: Person, back: str, back_to: str) -> str:
    view = view_of(db(), (row,), *asked(), instance().settings.zone)
    standing = view.standings[0]
    per_credit = view.course.hours_per_credit if view.course else HOURS_PER_CREDIT
    return render_template(
        "hours/toward.html",
        view=view,
        standing=standing,
        outlooks=OUTLOOKS,
        credits=credits_worth(sum(one.approved for one in standing.log.sums), per_credit),
        per_credit=per_credit,
        is_own=row.code == me().code,
        back=back,
        back_to=back_to,
    )
