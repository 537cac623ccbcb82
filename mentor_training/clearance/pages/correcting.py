"""A volunteer's records, and what the coordinator may do about them: stand down, restrict, waive, lift, withdraw."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from flask import render_template, url_for
from flask_wtf import FlaskForm
from werkzeug.wrappers import Response

from mentor_training.clearance import actions
from mentor_training.clearance.forms import CorrectForm, PauseForm, WaiveForm
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.errors import Refused
from mentor_training.evidence.facts import RESTRICTED, STOOD_DOWN
from mentor_training.evidence.queries import facts_of, record_for
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteer_for
from mentor_training.program.catalog import Program
from mentor_training.program.queries import require_edition
from mentor_training.web.forms import options

Answer = Response | tuple[str, int]


@pages.get("/clearance/people/<code>/records")
@guarded(Act.STAND_DOWN)
def records(code: str) -> str:
    """Show everything recorded about one volunteer, newest first, and what may be done about it."""
    return _records_page(code, PauseForm(first_day=today()), WaiveForm(first_day=today()))


@pages.post("/clearance/people/<code>/pause")
@guarded(Act.STAND_DOWN)
def pause_submit(code: str) -> Answer:
    """Stand a volunteer down, or note a restriction; in force at once on every screen."""
    form, other = PauseForm(), WaiveForm(formdata=None, first_day=today())
    _fill(form, other)
    again = partial(_records_page, code, form, other)
    if not form.validate_on_submit() or form.first_day.data is None:
        return again(), 422
    first, last, kind, scope = form.first_day.data, form.last_day.data, form.kind.data, form.scope.data
    return _try(
        form,
        partial(actions.pause, db(), now(), me(), code, kind, scope, first, last, form.reason.data or ""),
        again,
        url_for("clearance.volunteer", code=code),
        "It is in force.",
    )


@pages.post("/clearance/people/<code>/waive")
@guarded(Act.STAND_DOWN)
def waive_submit(code: str) -> Answer:
    """Waive one waivable item for its days."""
    form, other = WaiveForm(), PauseForm(formdata=None, first_day=today())
    _fill(other, form)
    again = partial(_records_page, code, other, form)
    if not form.validate_on_submit() or form.first_day.data is None or form.last_day.data is None:
        return again(), 422
    first, last = form.first_day.data, form.last_day.data
    return _try(
        form,
        partial(actions.waive, db(), now(), me(), code, form.item.data, first, last, form.reason.data or ""),
        again,
        url_for("clearance.volunteer", code=code),
        "The waiver is recorded; it is named as one wherever it counts.",
    )


@pages.get("/records/<record>/correct")
@guarded(Act.WITHDRAW)
def correct(record: str) -> str:
    """Show one record, and a form to lift or withdraw it, saying what that does."""
    return _correct_page(record, CorrectForm(first_day=today()))


@pages.post("/records/<record>/correct")
@guarded(Act.WITHDRAW)
def correct_submit(record: str) -> Answer:
    """Lift a stand-down or restriction; withdraw or void any other record."""
    form, row = CorrectForm(), record_for(db(), record)
    again = partial(_correct_page, record, form)
    if not form.validate_on_submit() or form.first_day.data is None:
        return again(), 422
    first, reason, void = form.first_day.data, form.reason.data or "", bool(form.void.data)
    act: Callable[[], object] = partial(actions.withdraw, db(), now(), me(), record, first, reason, void)
    if row.kind in (STOOD_DOWN, RESTRICTED):
        act = partial(actions.lift, db(), now(), me(), record, first, reason)
    return _try(
        form, act, again, url_for("clearance.records", code=row.person), "It is recorded, beside what it corrects."
    )


def _try(form: FlaskForm, act: Callable[[], object], again: Callable[[], str], to: str, said: str) -> Answer:
    try:
        act()
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return again(), 422
    return done(to, said)


def _fill(pause: PauseForm, waive: WaiveForm) -> Program:
    program = require_edition(db(), today(), now()).program
    activities = sorted({tag for station in program.stations.values() for tag in station.activities})
    scopes = [
        ("", "Everywhere"),
        *((slug, f"At {station.title}") for slug, station in program.stations.items()),
        *((f"activity/{tag}", f"Wherever there is {tag}") for tag in activities),
    ]
    pause.scope.choices = options(scopes)
    waivable = [(f"paper/{slug}", paper.title) for slug, paper in program.papers.items() if paper.waivable]
    waive.item.choices = options(waivable)
    return program


def _records_page(code: str, pause: PauseForm, waive: WaiveForm) -> str:
    person = volunteer_for(db(), me(), code)
    values: dict[str, Any] = {"person": person, "program": _fill(pause, waive), "pause": pause, "waive": waive}
    facts = facts_of(db(), code, now())
    corrected = {fact.refers_to: fact for fact in facts if fact.refers_to}
    return render_template("clearance/records.html", facts=facts[::-1], corrected=corrected, **values)


def _correct_page(record: str, form: CorrectForm) -> str:
    row = record_for(db(), record)
    person = volunteer_for(db(), me(), row.person)
    lifts = row.kind in (STOOD_DOWN, RESTRICTED)
    program = require_edition(db(), today(), now()).program
    return render_template("clearance/correct.html", record=row, person=person, form=form, lifts=lifts, program=program)
