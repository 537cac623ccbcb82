"""One review: what was seen, a stand-down in two taps, who looks into it, what is shown again, and how it ends."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from flask import Blueprint, render_template, url_for
from flask_wtf import FlaskForm
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions.reviews import answer, assign, close_review, plan_again
from mentor_training.observing.queries.history import marks_of
from mentor_training.observing.queries.reviews import (
    ReviewFile,
    answers_to,
    file_of,
    review_for,
    reviewers,
    station_of,
)
from mentor_training.observing.queries.strikes import sign_offs_resting_on, struck_observations
from mentor_training.observing.rules.reviews import STEP_WORDS
from mentor_training.observing.tables import Incident, Observation, Review
from mentor_training.overview.actions import release, stand_down_for_review, standing_for
from mentor_training.overview.forms import AnswerForm, AssignForm, CloseForm, PlanForm, ReleaseForm, StandDownForm
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people, person_for
from mentor_training.program.catalog import Program
from mentor_training.program.queries import require_edition
from mentor_training.web.display import show_day
from mentor_training.web.forms import options

Answer = Response | tuple[str, int]

# A blueprint of its own: it is no place of the top line, and belongs to none.
pages = Blueprint("reviews", __name__)
pages.add_app_template_filter(lambda kind: STEP_WORDS[kind], "show_review_step")


@pages.get("/reviews/<int:number>")
@guarded(Act.WORK_ON_REVIEW)
def review(number: int) -> str:
    """Show what was seen, what was done about it, and what may be done next."""
    return _page(number)


@pages.post("/reviews/<int:number>/stand-down")
@guarded(Act.REVIEW)
def stand_down_submit(number: int) -> Answer:
    """Stand the volunteer down; in force at once on every screen."""
    row, form = review_for(db(), me(), number), StandDownForm()
    form.scope.choices = options(_scopes(row, _program()))
    first, reason = form.first_day.data or today(), form.reason.data or ""
    act = partial(stand_down_for_review, db(), now(), me(), number, form.scope.data, first, reason)
    return _try("stand_down", number, form, act, "They are stood down; it is in force.")


@pages.post("/reviews/<int:number>/assign")
@guarded(Act.REVIEW)
def assign_submit(number: int) -> Answer:
    """Assign a review."""
    form = _assign_form()
    return _try("assign", number, form, partial(assign, db(), now(), me(), number, form.to.data), "It is assigned.")


@pages.post("/reviews/<int:number>/plan")
@guarded(Act.WORK_ON_REVIEW)
def plan_submit(number: int) -> Answer:
    """Record what has to be shown again."""
    form = PlanForm()
    act = partial(plan_again, db(), now(), me(), number, form.plan.data or "")
    return _try("plan", number, form, act, "What has to be shown again is recorded.")


@pages.post("/reviews/<int:number>/answer")
@guarded(Act.WORK_ON_REVIEW)
def answer_submit(number: int) -> Answer:
    """Record which observation showed it again."""
    form = _answer_form(review_for(db(), me(), number))
    act = partial(answer, db(), now(), me(), number, form.observation.data)
    return _try("answer", number, form, act, "The observation is recorded as the answer.")


@pages.post("/reviews/<int:number>/release")
@guarded(Act.REVIEW)
def release_submit(number: int) -> Answer:
    """Lift what was set for the review, and close it."""
    form = ReleaseForm()
    first, outcome = form.first_day.data or today(), form.outcome.data or ""
    act = partial(release, db(), now(), me(), number, first, outcome)
    return _try("release", number, form, act, f"Review {number} is closed.")


@pages.post("/reviews/<int:number>")
@guarded(Act.REVIEW)
def close_submit(number: int) -> Answer:
    """Close a review with what was decided."""
    form = CloseForm()
    act = partial(close_review, db(), now(), me(), number, form.outcome.data or "")
    return _try("close", number, form, act, f"Review {number} is closed.")


def _try(name: str, number: int, form: FlaskForm, act: Callable[[], object], said: str) -> Answer:
    """Do what a form asks for, or show the page again with what is wrong in that form."""
    review_for(db(), me(), number)
    if not form.validate_on_submit():
        return _page(number, name, form), 422
    try:
        act()
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(number, name, form), 422
    return done(url_for("reviews.review", number=number), said)


def _page(number: int, sent: str = "", form: FlaskForm | None = None) -> str:
    row = review_for(db(), me(), number)
    found, program = file_of(db(), row), _program()
    forms = _forms(found, program) | ({sent: form} if form else {})
    return render_template(
        "overview/review.html",
        review=row,
        file=found,
        person=person_for(db(), row.person),
        about=_about(row),
        title=_title(row, program),
        standing=standing_for(db(), row, today(), now()),
        names={one.code: one.name for one in people(db())},
        program=program,
        forms=forms,
        problems=form,
        scopes=dict(_scopes(row, program)),
        works=found.progress.is_open and me().code != row.person,
    )


def _about(row: Review) -> dict[str, Any]:
    """Return what a review is about: the observation with its marks, or the incident."""
    if row.observation is None:
        return {"incident": db().get_one(Incident, row.incident)}
    seen = db().get_one(Observation, row.observation)
    return {
        "observation": seen,
        "observer": person_for(db(), seen.observer),
        "marks": marks_of(db(), seen),
        "strike": struck_observations(db()).get(seen.id),
        "sign_offs": sign_offs_resting_on(db(), row.person, seen.id),
    }


def _forms(found: ReviewFile, program: Program) -> dict[str, FlaskForm]:
    """Return the forms of the page as they stand before anybody writes; nothing in them comes from what was sent."""
    row = found.review
    scopes = _scopes(row, program)
    stand_down = StandDownForm(
        formdata=None, scope=scopes[1 if len(scopes) > 1 else 0][0], first_day=today(), reason=_reason(row, program)
    )
    stand_down.scope.choices = options(scopes)
    return {
        "stand_down": stand_down,
        "assign": _assign_form(formdata=None),
        "plan": PlanForm(formdata=None),
        "answer": _answer_form(row, formdata=None),
        "release": ReleaseForm(formdata=None, first_day=today()),
        "close": CloseForm(formdata=None),
    }


def _assign_form(**given: object) -> AssignForm:
    form = AssignForm(**given)
    form.to.choices = options([("", "Choose somebody"), *((row.code, row.name) for row in reviewers(db()))])
    return form


def _answer_form(row: Review, **given: object) -> AnswerForm:
    names = {one.code: one.name for one in people(db())}
    program, form = _program(), AnswerForm(**given)
    form.observation.choices = options(
        (str(one.id), f"{program.title_of(f'skill/{one.skill}')}, {show_day(one.day)}, {names[one.observer]}: met")
        for one in answers_to(db(), row, now())
    )
    return form


def _scopes(row: Review, program: Program) -> list[tuple[str, str]]:
    """Return where a stand-down can hold: everywhere, then the station that it was seen at with what is done there.

    Where no station was named, every station can be chosen.
    """
    slug = station_of(db(), row)
    stations = [program.stations[slug]] if slug in program.stations else list(program.stations.values())
    tags = sorted({tag for station in stations for tag in station.activities}) if slug in program.stations else []
    return [
        ("", "Everywhere"),
        *((station.slug, f"At {station.title}") for station in stations),
        *((f"activity/{tag}", f"Wherever there is {tag}") for tag in tags),
    ]


def _reason(row: Review, program: Program) -> str:
    if row.observation is None:
        return f"Review {row.id}: incident {row.incident}."
    day = db().get_one(Observation, row.observation).day
    return f"Review {row.id}: {_title(row, program)}, seen {show_day(day)}."


def _title(row: Review, program: Program) -> str:
    return program.title_of(f"skill/{row.skill}") if row.skill else f"Incident {row.incident}"


def _program() -> Program:
    return require_edition(db(), today(), now()).program
