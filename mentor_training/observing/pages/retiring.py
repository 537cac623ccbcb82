"""Retiring a calibration, such as one whose key turned out to be wrong."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions import calibrations
from mentor_training.observing.forms import RetireForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.calibrations import opened_for, standings_on
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import people

Answer = Response | tuple[str, int]


@pages.get("/calibrations/<int:number>/retire")
@guarded(Act.SET_UP_CALIBRATION)
def retire(number: int) -> str:
    """Show what rests on a set, and the form to retire it."""
    return _page(number, RetireForm())


@pages.post("/calibrations/<int:number>/retire")
@guarded(Act.SET_UP_CALIBRATION)
def retire_submit(number: int) -> Answer:
    """Retire it with the reason."""
    form = RetireForm()
    if not form.validate_on_submit():
        return _page(number, form), 422
    try:
        calibrations.retire(db(), now(), me(), number, form.reason.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(number, form), 422
    return done(url_for("observing.calibration", number=number), "The set is retired; nobody scores it any more.")


def _page(number: int, form: RetireForm) -> str:
    found = opened_for(db(), me(), number)
    names = {row.code: row.name for row in people(db())}
    resting = [(names.get(code, code), row) for code, row in sorted(standings_on(db(), number).items())]
    return render_template("observing/calibration_retire.html", found=found, form=form, resting=resting)
