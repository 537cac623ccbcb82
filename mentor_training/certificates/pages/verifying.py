"""Verification, open to everybody: valid, revoked or unknown, and nothing else about the person."""

from __future__ import annotations

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates.forms import VerifyForm
from mentor_training.certificates.pages.blueprint import pages
from mentor_training.certificates.queries import verify
from mentor_training.certificates.rules import Standing, clean_code, grouped
from mentor_training.people.access import db, public


@pages.get("/verify")
@public
def ask() -> str | Answer | tuple[str, int]:
    """Ask for number and code, and lead to the answer's own address."""
    if not request.args.keys() & {"number", "code"}:
        return render_template("certificates/verify.html", form=VerifyForm(formdata=None))
    form = VerifyForm(request.args)
    if not form.validate():
        return render_template("certificates/verify.html", form=form), 422
    number, code = (form.number.data or "").strip().upper(), grouped(clean_code(form.code.data or ""))
    return redirect(url_for("certificates.answer", number=number, code=code or "-"), 303)


@pages.get("/verify/<number>/<code>")
@public
def answer(number: str, code: str) -> tuple[str, int]:
    """Say whether a certificate is valid, revoked or unknown.

    A number that does not exist and a code that does not fit get the very same answer.
    """
    found = verify(db(), number, code)
    page = render_template("certificates/verified.html", number=number, standing=found)
    return page, 404 if found is Standing.UNKNOWN else 200
