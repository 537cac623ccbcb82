"""Who came to a session that is over, and putting it right."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.correcting import correct_attendance
from mentor_training.planning.day_forms import AttendanceForm
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.coming import came_to, corrections_of, end_of
from mentor_training.planning.queries.plan import closing_of


@pages.get("/sessions/<code>/attendance")
@guarded(Act.PLAN)
def attendance(code: str) -> str:
    """Show who came, what was put right since, and the form that puts it right."""
    return _attendance_page(code, AttendanceForm(formdata=None))


@pages.post("/sessions/<code>/attendance")
@guarded(Act.PLAN)
def attendance_submit(code: str) -> Response | tuple[str, int]:
    """Put right whether somebody came, and from when to when; with the reason."""
    form = AttendanceForm()
    if not form.validate_on_submit():
        return _attendance_page(code, form), 422
    came, left = form.came.data, form.left.data
    if not form.absent.data and (came is None or left is None):
        form.came.errors = ["Write when they came and when they left, or say that they did not come."]
        return _attendance_page(code, form), 422
    times = None if form.absent.data or came is None or left is None else (came, left)
    kind, _, who = (form.who.data or "").partition("|")
    try:
        zone = instance().settings.zone
        correct_attendance(db(), now(), me(), code, kind, who, times, form.reason.data or "", zone)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _attendance_page(code, form), 422
    called = names_of_all(db()).get(who, who)
    return done(url_for("planning.attendance", code=code), f"Put right for {called}. Hours that were entered stay.")


def _attendance_page(code: str, form: AttendanceForm) -> str:
    found, names = seen_session(code), names_of_all(db())
    kinds = ("volunteer", "participant")
    groups = {
        f"{kind.capitalize()}s": [(f"{kind}|{who}", names.get(who, who)) for who in found.expected(kind)]
        for kind in kinds
    }
    form.who.choices = {"Nobody chosen yet": [("", "Choose somebody")], **{k: v for k, v in groups.items() if v}}
    return render_template(
        "planning/attendance.html",
        session=found,
        form=form,
        names=names,
        came=came_to(db(), code),
        expected=[(kind, who) for kind in kinds for who in found.expected(kind)],
        corrections=corrections_of(db(), code),
        is_over=now() >= end_of(found, instance().settings.zone),
        closing=closing_of(db(), code),
    )
