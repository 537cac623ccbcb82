"""Recording an observation, criterion by criterion, and what it came to."""

from __future__ import annotations

import secrets
from contextlib import suppress
from typing import Any

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotFound, Refused
from mentor_training.observing.access import partners_on
from mentor_training.observing.actions.observe import observe
from mentor_training.observing.forms import ObservationForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.pages.criteria import (
    criteria_form,
    is_filled_in,
    look_of,
    marked_another_edition,
    posted_day,
    skill_on,
)
from mentor_training.observing.queries.floor import SkillState, observed_for, state_of
from mentor_training.observing.queries.history import marks_of, observation_for, skill_then, station_of_last
from mentor_training.observing.queries.reviews import review_of
from mentor_training.observing.queries.standings import between, was_calibrated, was_entitled
from mentor_training.observing.queries.strikes import struck_observations
from mentor_training.observing.rules.results import (
    Marking,
    not_counted_in_words,
    objections_to_criteria,
    to_see_again,
)
from mentor_training.observing.rules.standing import objections_to_observing
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Skill
from mentor_training.program.queries import require_edition
from mentor_training.web.prose import prose

Answer = Response | tuple[str, int]


@pages.get("/observe/<code>/<slug>")
@guarded(Act.OBSERVE)
def record(code: str, slug: str) -> str:
    """Show the criteria of a skill, each to be marked by itself."""
    published, skill = skill_on(today(), slug)
    given: dict[str, Any] = {"day": today(), "key": secrets.token_urlsafe(18), "edition": str(published.number)}
    form = criteria_form(published, skill, station=station_of_last(db(), me().code, today()), **given)
    return _record_page(code, skill, form)


@pages.post("/observe/<code>/<slug>")
@guarded(Act.OBSERVE)
def record_submit(code: str, slug: str) -> Answer:
    """Store the observation, or show the form again with what was typed and what is wrong beside it."""
    published, skill = skill_on(posted_day() or today(), slug)
    form = criteria_form(published, skill)
    if marked_another_edition(form, published, skill) or not is_filled_in(form, skill):
        return _record_page(code, skill, form), 422
    observed_for(db(), me(), code, today())
    try:
        look = look_of(form, code, skill)
        row = observe(db(), now(), today(), me(), look, partners_on(me().code, [look.day]))
    except Refused as no:
        form.form_errors.extend(no.reasons)
        db().rollback()
        return _record_page(code, skill, form), 422
    return done(url_for("observing.saved", number=row.id), "The observation is stored.")


@pages.get("/observations/<int:number>")
@guarded(Act.SEE_OBSERVATIONS)
def saved(number: int) -> str:
    """Say what an observation came to, what to see next, and where the skill stands."""
    row = observation_for(db(), me(), number)
    person = person_for(db(), row.person)
    skill = skill_then(db(), row)
    if skill is None:
        raise NotFound(f"skill {row.skill}")
    marks = marks_of(db(), row)
    policy = require_edition(db(), row.day, row.recorded_at).program.policy
    return render_template(
        "observing/saved.html",
        row=row,
        person=person,
        skill=skill,
        marks=marks,
        observer=person_for(db(), row.observer),
        why=[not_counted_in_words(reason, policy) for reason in row.not_counted.split(";") if reason],
        again=to_see_again(skill.criteria, [Marking(mark.marking) for mark in marks]),
        stopped=any(mark.marking == Marking.STOPPED for mark in marks),
        review=review_of(db(), row.id),
        strike=struck_observations(db()).get(row.id),
        state=_state_now(person, row.skill),
        entitled=was_entitled(db(), me().code, row.skill, today(), now()),
    )


def _state_now(person: Person, slug: str) -> SkillState | None:
    """Return where a skill stands today; None when the edition in force no longer has it."""
    with suppress(NotFound):
        return state_of(db(), person, slug, today(), now())
    return None


def _record_page(code: str, skill: Skill, form: ObservationForm) -> str:
    person = observed_for(db(), me(), code, today())
    objections = objections_to_observing(between(db(), me().code, code, partners_on(me().code, [today()])))
    return render_template(
        "observing/record.html",
        person=person,
        skill=skill,
        how=prose(skill.body),
        form=form,
        objections=(*objections, *objections_to_criteria(skill.criteria)),
        calibrated=was_calibrated(db(), me().code, skill.slug, today(), now()),
        entitled=was_entitled(db(), me().code, skill.slug, today(), now()),
        state=state_of(db(), person, skill.slug, today(), now()),
    )
