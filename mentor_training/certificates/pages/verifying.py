"""Verification, open to everybody: valid, lapsed, withdrawn or unknown, and nothing else about the person."""

from __future__ import annotations

from collections.abc import Callable

from flask import Flask, abort, current_app, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates.actions import count_unknown
from mentor_training.certificates.forms import VerifyForm
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.certificates.queries import asked_too_often, verify
from mentor_training.certificates.rules import Standing, clean_code, clean_number, grouped
from mentor_training.people.access import db, instance, now, public, today

# Asked with number and code: the number as it is kept and how that paper stands, or None where it is none of these.
Verifies = Callable[[Session, str, str], tuple[str, Standing] | None]


def set_letters(app: Flask, verifies: Verifies) -> None:
    """Let the application say how a letter of hours stands; letters are written in a room above this one."""
    app.extensions["letters_verified"] = verifies


@pages.get("/verify")
@public
def ask() -> str | Answer | tuple[str, int]:
    """Ask for number and code, and lead to the answer's own address."""
    if not request.args.keys() & {"number", "code"}:
        return render_template("certificates/verify.html", form=VerifyForm(formdata=None))
    form = VerifyForm(request.args)
    if not form.validate():
        return render_template("certificates/verify.html", form=form), 422
    number, code = form.number.data or "", grouped(clean_code(form.code.data or ""))
    number = _asked_about(number, code)[1]
    return redirect(url_for("certificates.answer", number=number, code=code or "-"), 303)


@pages.get("/verify/<number>/<code>")
@public
def answer(number: str, code: str) -> tuple[str, int]:
    """Say whether a certificate is valid, lapsed, withdrawn or unknown; a letter of hours is valid or unknown.

    A number that does not exist and a code that does not fit get the very same answer, and only so many of them.
    """
    client = request.remote_addr or ""
    if asked_too_often(db(), now(), client):
        abort(429)
    what, clean, found = _asked_about(number, code)
    if found is Standing.UNKNOWN:
        with instance().database.writing() as short:
            count_unknown(short, now(), client)
    page = render_template("certificates/verified.html", what=what, number=clean, standing=found)
    return page, 404 if found is Standing.UNKNOWN else 200


def _asked_about(number: str, code: str) -> tuple[str, str, Standing]:
    """Return what a number is of, a certificate or a letter, the number as it is kept, and how that stands."""
    verifies: Verifies | None = current_app.extensions.get("letters_verified")
    letter = verifies(db(), number, code) if verifies else None
    if letter:
        return "letter", *letter
    return "certificate", clean_number(number), verify(db(), number, code, today())
