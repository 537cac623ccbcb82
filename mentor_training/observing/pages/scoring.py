"""Scoring a calibration on the phone, performance by performance, and what it came to once it is closed."""

from __future__ import annotations

from typing import Any

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotAllowed, Refused
from mentor_training.observing.actions.calibrations import close, score
from mentor_training.observing.forms import ObservationForm, given_marks, score_form
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.calibrations import (
    CalibrationSet,
    Staged,
    calibration_for,
    calibrations,
    progress_of,
    result_for,
    scored_by,
    standings_on,
)
from mentor_training.observing.queries.standings import standing_facts
from mentor_training.observing.rules.calibration import (
    CalibrationResult,
    Progress,
    objections_to_scoring,
    why_it_matters,
)
from mentor_training.observing.rules.results import mark_faults
from mentor_training.observing.rules.standing import CALIBRATED, EVERY_SKILL, holding
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act

Answer = Response | tuple[str, int]


@pages.get("/calibrations/mine")
@guarded(Act.SCORE_CALIBRATION)
def calibrations_of_mine() -> str:
    """Show an observer whether they are calibrated, which sets they can score, and what they have closed."""
    lines = [(one, progress_of(db(), one, me().code)) for one in calibrations(db())]
    facts = standing_facts(db(), me().code, now())
    return render_template(
        "observing/calibrations_mine.html",
        held=holding(facts, CALIBRATED, EVERY_SKILL, today()),
        to_score=[line for line in lines if not objections_to_scoring(line[1], today())],
        closed=[(one, _result(one)) for one, progress in lines if progress.is_closed],
    )


@pages.get("/calibrations/<int:number>/score")
@guarded(Act.SCORE_CALIBRATION)
def scoring(number: int) -> str:
    """Show how far the observer is with a set, and where to go on."""
    found = calibration_for(db(), number)
    progress = progress_of(db(), found, me().code)
    return render_template(
        "observing/scoring.html",
        found=found,
        progress=progress,
        objections=objections_to_scoring(progress, today()),
        next_place=min(progress.left, default=None),
    )


@pages.get("/calibrations/<int:number>/score/<int:place>")
@guarded(Act.SCORE_CALIBRATION)
def scoring_one(number: int, place: int) -> str:
    """Show the criteria of one performance, with what the observer marked before, if they did."""
    found = calibration_for(db(), number)
    staged = found.staged_at(place)
    before = scored_by(db(), number, me().code).get(place, {})
    given: dict[str, Any] = {f"mark_{one}": mark.mark for one, mark in before.items()}
    given |= {f"way_{one}": mark.way for one, mark in before.items()}
    return _one_page(found, staged, score_form(staged.skill, **given))


@pages.post("/calibrations/<int:number>/score/<int:place>")
@guarded(Act.SCORE_CALIBRATION)
def scoring_one_submit(number: int, place: int) -> Answer:
    """Store the marks and go on to the next performance, or to the closing."""
    found = calibration_for(db(), number)
    staged = found.staged_at(place)
    form = score_form(staged.skill)
    if not _is_marked(form, staged):
        return _one_page(found, staged, form), 422
    try:
        score(db(), now(), today(), me(), number, place, given_marks(form, staged.skill))
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _one_page(found, staged, form), 422
    left = progress_of(db(), found, me().code).left
    if left:
        return done(url_for("observing.scoring_one", number=number, place=min(left)), "Stored. Here is the next one.")
    return done(url_for("observing.scoring", number=number), "All are scored. Close the set when you are sure.")


@pages.post("/calibrations/<int:number>/close")
@guarded(Act.SCORE_CALIBRATION)
def scoring_close(number: int) -> Answer:
    """Close the set: the scores are final, and the key opens."""
    close(db(), now(), today(), me(), number)
    return done(url_for("observing.scored", number=number), "The set is closed.")


@pages.get("/calibrations/<int:number>/mine")
@guarded(Act.SCORE_CALIBRATION)
def scored(number: int) -> str:
    """Show an observer what they came to, where they differ from the key and why that matters."""
    found = calibration_for(db(), number)
    result = _result(found)
    if result is None:
        raise NotAllowed("a key, before your own marks are in and closed")
    return render_template(
        "observing/scored.html",
        found=found,
        result=result,
        differences=[
            (_staged_of(found, one.key.spot.performance), one, why_it_matters(one)) for one in result.differences
        ],
        standing=standings_on(db(), number).get(me().code),
        others=[one for one in calibrations(db()) if not objections_to_scoring(_progress(one), today())],
    )


def _result(found: CalibrationSet) -> CalibrationResult | None:
    return result_for(db(), found, me().code)


def _progress(found: CalibrationSet) -> Progress:
    return progress_of(db(), found, me().code)


def _staged_of(found: CalibrationSet, place: int) -> Staged:
    return found.staged_at(place)


def _is_marked(form: ObservationForm, staged: Staged) -> bool:
    """Say whether every criterion is marked by itself; what is missing stands beside its field."""
    marks = given_marks(form, staged.skill)
    is_valid = form.validate_on_submit()
    faults = mark_faults(staged.skill.criteria, marks)
    for number, fault in faults.items():
        form[f"{'way' if number in marks else 'mark'}_{number}"].errors = [fault]
    return is_valid and not faults


def _one_page(found: CalibrationSet, staged: Staged, form: ObservationForm) -> str:
    progress = _progress(found)
    return render_template(
        "observing/scoring_one.html",
        found=found,
        staged=staged,
        form=form,
        objections=objections_to_scoring(progress, today()),
    )
