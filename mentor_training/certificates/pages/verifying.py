"""Verification, open to everybody: valid, lapsed, withdrawn or unknown, and nothing else about the person."""

from __future__ import annotations

from flask import abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates.actions import count_unknown
from mentor_training.certificates.forms import VerifyForm
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.certificates.queries import asked_too_often, verify
from mentor_training.certificates.rules import Standing, clean_code, clean_number, grouped
from mentor_training.people.access import db, instance, now, public, today


@pages.get("/verify")
@public
def ask() -> str | Answer | tuple[str, int]:
    """Ask for number and code, and lead to the answer's own address."""
    if not request.args.keys() & {"number", "code"}:
        return render_template("certificates/verify.html", form=VerifyForm(formdata=None))
    form = VerifyForm(request.args)
    if not form.validate():
        return render_template("certificates/verify.html", form=form), 422
    number, code = clean_number(form.number.data or ""), grouped(clean_code(form.code.data or ""))
    return redirect(url_for("certificates.answer", number=number, code=code or "-"), 303)


@pages.get("/verify/<number>/<code>")
@public
def answer(number: str, code: str) -> tuple[str, int]:
    """Say whether a certificate is valid, lapsed, withdrawn or unknown.

    A number that does not exist and a code that does not fit get the very same answer, and only so many of them.
    """
    client = request.remote_addr or ""
    if asked_too_often(db(), now(), client):
        abort(429)
    found = verify(db(), number, code, today())
    if found is Standing.UNKNOWN:
        with instance().database.writing() as short:
            count_unknown(short, now(), client)
    page = render_template("certificates/verified.html", number=clean_number(number), standing=found)
    return page, 404 if found is Standing.UNKNOWN else 200
