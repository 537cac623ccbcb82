"""Terms: their days and holidays, made, changed, taken in and written out."""

from __future__ import annotations

from typing import Any

from flask import Response as FileResponse
from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.actions import import_terms, store_term
from mentor_training.calendar.queries import sessions, term_for, terms
from mentor_training.calendar.terms import COLUMNS, TermFact, as_row, current_term, read_terms
from mentor_training.calendar.versions import seal
from mentor_training.csv_form import write_rows
from mentor_training.errors import Refused, Stale
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.planning.forms import FileForm, TermForm
from mentor_training.planning.pages.blueprint import pages
from mentor_training.web.uploads import uploaded_text


@pages.get("/terms")
@guarded(Act.PLAN)
def terms_listing() -> str:
    """List all terms, with how many sessions each has."""
    return _listing()


@pages.get("/terms.csv")
@guarded(Act.PLAN)
def terms_csv() -> FileResponse:
    """Give all terms in the form in which they are taken in."""
    headers = {"Content-Disposition": "attachment; filename=terms.csv"}
    return FileResponse(
        write_rows(COLUMNS, [as_row(one) for one in terms(db())]), mimetype="text/csv", headers=headers
    )  # fmt: skip


@pages.post("/terms/import")
@guarded(Act.PLAN)
def terms_import_submit() -> Response | tuple[str, int]:
    """Take terms.csv in whole, or say everything that is wrong with it and take nothing."""
    found, problems = read_terms(uploaded_text("file"))
    if problems:
        return _listing(problems), 422
    try:
        changed = import_terms(db(), now(), me(), found)
    except Refused as no:
        db().rollback()
        return _listing(no.reasons), 422
    return done(url_for("planning.terms_listing"), f"{len(found)} rows read, {changed} of them new or changed.")


@pages.get("/terms/new")
@guarded(Act.PLAN)
def term_new() -> str:
    """Show the form for a new term."""
    return _page(TermForm(), None)


@pages.post("/terms/new")
@guarded(Act.PLAN)
def term_new_submit() -> Response | tuple[str, int]:
    """Store a new term."""
    return _save(TermForm(), None)


@pages.get("/terms/<code>")
@guarded(Act.PLAN)
def term(code: str) -> str:
    """Show a term to be changed."""
    found, form = term_for(db(), code), TermForm()
    form.fill(found)
    return _page(form, found)


@pages.post("/terms/<code>")
@guarded(Act.PLAN)
def term_submit(code: str) -> Response | tuple[str, int]:
    """Store a changed term, as another version of it."""
    found, form = term_for(db(), code), TermForm()
    form.code.data = code
    return _save(form, found)


def _save(form: TermForm, before: TermFact | None) -> Response | tuple[str, int]:
    written, seen = form.term(), request.form.get("seen", "")
    if written is None:
        return _page(form, before, seen), 422
    try:
        store_term(db(), now(), me(), written, seen)
    except Stale as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(form, before or term_for(db(), written.code), is_overtaken=True), 422
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(form, before, seen), 422
    return done(url_for("planning.terms_listing"), "Stored.")


def _page(form: TermForm, found: TermFact | None, seen: str | None = None, is_overtaken: bool = False) -> str:
    return render_template(
        "planning/term.html", form=form, term=found, seen=seen or seal(found), is_overtaken=is_overtaken
    )  # fmt: skip


def _listing(problems: Any = ()) -> str:
    found, all_sessions = terms(db()), sessions(db())
    current = current_term(found, today())
    return render_template(
        "planning/terms.html",
        terms=[(one, sum(one.holds(session.day) for session in all_sessions)) for one in found],
        outside=sum(not any(one.holds(session.day) for one in found) for session in all_sessions),
        current=current,
        form=FileForm(formdata=None),
        problems=problems,
    )
