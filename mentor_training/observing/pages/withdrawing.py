"""Withdrawing a sign-off, with the reason."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.observing.actions.withdrawing import withdraw_sign_off
from mentor_training.observing.forms import WithdrawForm
from mentor_training.observing.pages.blueprint import pages
from mentor_training.observing.queries.signed import shown_sign_offs, sign_off_for
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.program.queries import require_edition

Answer = Response | tuple[str, int]


@pages.get("/sign-offs/<record>/withdraw")
@guarded(Act.WITHDRAW_SIGN_OFF)
def withdraw(record: str) -> str:
    """Show a sign-off and the form to withdraw it, saying what that does."""
    return _page(record, WithdrawForm(first_day=today()))


@pages.post("/sign-offs/<record>/withdraw")
@guarded(Act.WITHDRAW_SIGN_OFF)
def withdraw_submit(record: str) -> Answer:
    """Withdraw it from a day on."""
    form, row = WithdrawForm(), sign_off_for(db(), me(), record)
    if not form.validate_on_submit() or form.first_day.data is None:
        return _page(record, form), 422
    try:
        withdraw_sign_off(db(), now(), me(), record, form.first_day.data, form.reason.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(record, form), 422
    return done(url_for("observing.evidence", code=row.person, slug=row.skill), "The sign-off is withdrawn.")


def _page(record: str, form: WithdrawForm) -> str:
    row = sign_off_for(db(), me(), record)
    return render_template(
        "observing/withdraw.html",
        row=row,
        form=form,
        person=person_for(db(), row.person),
        title=require_edition(db(), today(), now()).program.title_of(f"skill/{row.skill}"),
        shown=next(one for one in shown_sign_offs(db(), row.person, row.skill, now()) if one.row.record == record),
    )
