"""The coordinator's pages: what observers are, and the list of reviews."""

from __future__ import annotations

from datetime import date

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions.standings import end_standing, set_standing
from mentor_training.observing.forms import ConflictsForm, StandingForm, conflicts_form, standing_form
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.reviews import ReviewFile, closed_files, day_of, open_files
from mentor_training.observing.queries.standings import observer_for, standing_facts, standing_rows
from mentor_training.observing.rules.standing import CALIBRATED, ENDS, ENTITLED, EVERY_SKILL, holding, stands
from mentor_training.observing.tables import Observation, Standing
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.actions import set_conflicts
from mentor_training.people.permissions import OBSERVER, Act
from mentor_training.people.queries import people, person_for
from mentor_training.program.queries import require_edition

Answer = Response | tuple[str, int]
BEGUN_BY = {end: kind for kind, end in ENDS.items()}


@pages.get("/observers")
@guarded(Act.KEEP_STANDINGS)
def observers() -> str:
    """Show each observer: calibrated through when and by what, or not, and the skills they are entitled to today."""
    program = require_edition(db(), today(), now()).program
    lines = []
    for row in people(db(), OBSERVER):
        facts = standing_facts(db(), row.code, now())
        entitled = [skill.title for slug, skill in program.skills.items() if stands(facts, ENTITLED, slug, today())]
        lines.append((row, holding(facts, CALIBRATED, EVERY_SKILL, today()), entitled))
    return render_template("observing/observers.html", lines=lines, skills=len(program.skills))


@pages.get("/observers/<code>")
@guarded(Act.KEEP_STANDINGS)
def observer(code: str) -> str:
    """Show what was entered about one observer, and the forms to change it."""
    return _observer_page(code, _standing_form(first_day=today(), skill=EVERY_SKILL), _conflicts_form(code))


@pages.post("/observers/<code>/standing")
@guarded(Act.KEEP_STANDINGS)
def standing_submit(code: str) -> Answer:
    """Enter that an observer is, or no longer is, calibrated or entitled."""
    form = _standing_form()
    if not form.validate_on_submit() or form.first_day.data is None:
        return _observer_page(code, form, _conflicts_form(code, formdata=None)), 422
    try:
        _enter_standing(code, form, form.first_day.data)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _observer_page(code, form, _conflicts_form(code, formdata=None)), 422
    return done(url_for("observing.observer", code=code), "It is entered.")


@pages.post("/observers/<code>/conflicts")
@guarded(Act.KEEP_STANDINGS)
def conflicts_submit(code: str) -> Answer:
    """Set an observer's conflict list."""
    form = _conflicts_form(code)
    standing = _standing_form(formdata=None, first_day=today(), skill=EVERY_SKILL)
    if not form.validate_on_submit():
        return _observer_page(code, standing, form), 422
    observer_for(db(), code)
    set_conflicts(db(), now(), me(), code, tuple(form.people.data or ()))
    return done(url_for("observing.observer", code=code), "The conflict list is stored.")


@pages.get("/reviews")
@guarded(Act.WORK_ON_REVIEW)
def reviews() -> str:
    """Show the reviews that wait, and to the coordinator those that were closed."""
    return render_template(
        "observing/reviews.html",
        open=[_line(one) for one in open_files(db(), me())],
        closed=[_line(one) for one in closed_files(db())] if me().may(Act.REVIEW) else [],
    )


def _standing_form(**given: object) -> StandingForm:
    return standing_form(require_edition(db(), today(), now()).program, **given)


def _conflicts_form(code: str, **given: object) -> ConflictsForm:
    return conflicts_form(people(db()), observer_for(db(), code), **given)


def _enter_standing(code: str, form: StandingForm, first: date) -> Standing:
    kind, skill = form.kind.data, form.skill.data or EVERY_SKILL
    if kind in BEGUN_BY:
        return end_standing(db(), now(), me(), code, BEGUN_BY[kind], skill, first)
    return set_standing(db(), now(), me(), code, kind, skill, first, form.last_day.data, form.reason.data or "")


def _observer_page(code: str, form: StandingForm, conflicts: ConflictsForm) -> str:
    row = observer_for(db(), code)
    facts = standing_facts(db(), code, now())
    program = require_edition(db(), today(), now()).program
    return render_template(
        "observing/observer.html",
        observer=row,
        entries=standing_rows(db(), code, now())[::-1],
        calibrated=holding(facts, CALIBRATED, EVERY_SKILL, today()),
        entitled=[skill.title for slug, skill in program.skills.items() if stands(facts, ENTITLED, slug, today())],
        titles={slug: skill.title for slug, skill in program.skills.items()},
        names={one.code: one.name for one in people(db())},
        form=form,
        conflicts=conflicts,
    )


def _line(found: ReviewFile) -> dict[str, object]:
    row = found.review
    program = require_edition(db(), today(), now()).program
    seen = db().get_one(Observation, row.observation) if row.observation is not None else None
    assignee = found.progress.assignee
    return {
        "review": row,
        "person": person_for(db(), row.person),
        "title": program.title_of(f"skill/{row.skill}") if row.skill else f"Incident {row.incident}",
        "day": day_of(db(), row),
        "observer": person_for(db(), seen.observer).name if seen else "",
        "assignee": person_for(db(), assignee).name if assignee else "",
        "progress": found.progress,
        "end": found.end,
    }
