"""Calibrations as coordinator and course instructors keep them: sets, keys, and entering who is calibrated."""

from __future__ import annotations

from typing import Any

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions.calibrations import agree_key, set_up
from mentor_training.observing.actions.standings import calibrate
from mentor_training.observing.forms import (
    CalibrateForm,
    CalibrationForm,
    KeyForm,
    calibration_form,
    given_key,
    given_performances,
    key_form,
)
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.calibrations import (
    CalibrationSet,
    Staged,
    able_to_agree,
    calibrations,
    opened_for,
    result_for,
    sees_key,
)
from mentor_training.observing.rules.calibration import MOST_PERFORMANCES, accepted_faults
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition

Answer = Response | tuple[str, int]


@pages.get("/calibrations")
@guarded(Act.SEE_AGREEMENT)
def calibrations_kept() -> str:
    """Show every calibration: whether it can be scored, and who has closed it and passed."""
    return render_template("observing/calibrations.html", lines=[_line(one) for one in calibrations(db())])


@pages.get("/calibrations/new")
@guarded(Act.SET_UP_CALIBRATION)
def calibration_new() -> str:
    """Show the form for a new set."""
    return _new_page(calibration_form(require_edition(db(), today(), now()).program, day=today()))


@pages.post("/calibrations/new")
@guarded(Act.SET_UP_CALIBRATION)
def calibration_new_submit() -> Answer:
    """Record the set, and go on to its keys."""
    form = calibration_form(require_edition(db(), today(), now()).program)
    if not form.validate_on_submit() or form.day.data is None:
        return _new_page(form), 422
    try:
        row = set_up(db(), now(), today(), me(), form.title.data or "", form.day.data, given_performances(form))
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _new_page(form), 422
    to = url_for("observing.calibration_key", number=row.number, place=1)
    return done(to, "The set is recorded. Agree on its keys next.")


@pages.get("/calibrations/<int:number>/key/<int:place>")
@guarded(Act.SET_UP_CALIBRATION)
def calibration_key(number: int, place: int) -> str:
    """Show the key of one performance as it stands, and while nobody has scored the form to agree on it."""
    found = opened_for(db(), me(), number)
    staged = found.staged_at(place)
    return _key_page(found, staged, key_form(staged.skill, able_to_agree(db()), **_as_agreed(found, staged)))


@pages.post("/calibrations/<int:number>/key/<int:place>")
@guarded(Act.SET_UP_CALIBRATION)
def calibration_key_submit(number: int, place: int) -> Answer:
    """Record what was agreed, and go on to the next performance without a key, or to the set."""
    found = opened_for(db(), me(), number)
    staged = found.staged_at(place)
    form = key_form(staged.skill, able_to_agree(db()))
    if not _is_agreed(form, staged):
        return _key_page(found, staged, form), 422
    try:
        agreed_by = (form.first.data or "", form.second.data or "")
        agree_key(db(), now(), me(), number, place, given_key(form, staged.skill), agreed_by)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _key_page(found, staged, form), 422
    left = [one for one in found.without_key if one != place]
    if left:
        to = url_for("observing.calibration_key", number=number, place=left[0])
        return done(to, f"The key is recorded; {len(left)} still to agree.")
    return done(url_for("observing.calibration", number=number), "The keys are agreed; the set can be scored.")


@pages.post("/calibrations/<int:number>/calibrate/<code>")
@guarded(Act.KEEP_STANDINGS)
def calibrate_submit(number: int, code: str) -> Answer:
    """Enter that an observer who passed is calibrated from today on."""
    form = CalibrateForm()
    if not form.validate_on_submit() or form.last_day.data is None:
        raise Refused("Write the last day on which they are calibrated, such as 2027-01-31.")
    opened_for(db(), me(), number)
    calibrate(db(), now(), today(), me(), number, code, form.last_day.data)
    said = f"{person_for(db(), code).name} is calibrated from today on."
    return done(url_for("observing.calibration", number=number), said)


def _line(found: CalibrationSet) -> dict[str, object]:
    opens = sees_key(me(), found)
    results = [result_for(db(), found, code) for code in found.closed] if opens else []
    passed = sum(one is not None and one.passed for one in results)
    return {"set": found, "opens": opens, "passed": passed}


def _new_page(form: CalibrationForm) -> str:
    return render_template("observing/calibration_new.html", form=form, most=MOST_PERFORMANCES)


def _as_agreed(found: CalibrationSet, staged: Staged) -> dict[str, Any]:
    """Return what stands in the form: the key so far, and who agreed on it or on another one of the set."""
    given: dict[str, Any] = {}
    for number, accepted in staged.accepted.items():
        given[f"mark_{number}"], given[f"or_{number}"] = (*accepted, "")[:2]
    agreed = staged.agreed or next((one.agreed for one in found.staged if one.agreed), None)
    if agreed:
        given["first"], given["second"] = agreed.agreed_by
    return given


def _is_agreed(form: KeyForm, staged: Staged) -> bool:
    """Say whether every criterion has its mark; what is missing stands beside it."""
    is_valid = form.validate_on_submit()
    faults = accepted_faults(len(staged.skill.criteria), given_key(form, staged.skill))
    for number, fault in faults.items():
        form[f"mark_{number}"].errors = [fault]
    return is_valid and not faults


def _key_page(found: CalibrationSet, staged: Staged, form: KeyForm) -> str:
    return render_template("observing/calibration_key.html", found=found, staged=staged, form=form)
