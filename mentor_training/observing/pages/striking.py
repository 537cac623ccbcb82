"""Striking an observation that was entered by mistake."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions import striking
from mentor_training.observing.forms import StrikeForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.history import marks_of, observation_for
from mentor_training.observing.queries.reviews import review_of
from mentor_training.observing.queries.strikes import sign_offs_resting_on, struck_observations
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition

Answer = Response | tuple[str, int]


@pages.get("/observations/<int:number>/strike")
@guarded(Act.STRIKE)
def strike(number: int) -> str:
    """Show an observation, what rests on it, and the form to strike it."""
    return _page(number, StrikeForm())


@pages.post("/observations/<int:number>/strike")
@guarded(Act.STRIKE)
def strike_submit(number: int) -> Answer:
    """Strike it, and go back to its review if it opened one."""
    form = StrikeForm()
    if not form.validate_on_submit():
        return _page(number, form), 422
    try:
        striking.strike(db(), now(), me(), number, form.reason.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(number, form), 422
    review = review_of(db(), number)
    to = url_for("reviews.review", number=review.id) if review else url_for("observing.saved", number=number)
    return done(to, "The observation is struck; it counts for nothing.")


def _page(number: int, form: StrikeForm) -> str:
    row = observation_for(db(), me(), number)
    return render_template(
        "observing/strike.html",
        row=row,
        form=form,
        person=person_for(db(), row.person),
        observer=person_for(db(), row.observer),
        title=require_edition(db(), today(), now()).program.title_of(f"skill/{row.skill}"),
        marks=marks_of(db(), row),
        struck=number in struck_observations(db()),
        sign_offs=sign_offs_resting_on(db(), row.person, number),
        review=review_of(db(), number),
    )
