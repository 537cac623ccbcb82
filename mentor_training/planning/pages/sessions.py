"""The list of sessions; making, changing, taking in and writing out sessions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, TypeVar

from flask import Response as FileResponse
from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.queries import last_change, refuse_too_early, session_for, sessions, terms
from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.terms import TermFact, current_term
from mentor_training.calendar.timetable import COLUMNS, as_row, read_sessions
from mentor_training.calendar.versions import differences, seal
from mentor_training.csv_form import write_rows
from mentor_training.errors import Refused, Stale
from mentor_training.participants.queries import participants
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import OBSERVER, VOLUNTEER, Act
from mentor_training.people.queries import people
from mentor_training.planning.actions.sessions import import_sessions, save_session
from mentor_training.planning.forms import SessionForm, SessionsFileForm
from mentor_training.planning.pages.blueprint import own_sessions, pages
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.known import known_for_sessions
from mentor_training.planning.queries.plan import closed_sessions, closing_of
from mentor_training.program.queries import known_editions
from mentor_training.web.uploads import uploaded_text

AnyForm = TypeVar("AnyForm", bound=SessionForm)
SHOWS = ("coming", "past", "all")


@pages.get("/sessions")
@guarded(Act.SEE_SESSIONS)
def listing() -> str:
    """List sessions: today's and coming ones, past ones, or all."""
    return _listing()


@pages.get("/sessions.csv")
@guarded(Act.PLAN)
def listing_csv() -> FileResponse:
    """Give all sessions in the form in which they are taken in."""
    text = write_rows(COLUMNS, [as_row(one) for one in sessions(db())])
    headers = {"Content-Disposition": "attachment; filename=sessions.csv"}
    return FileResponse(text, mimetype="text/csv", headers=headers)


@pages.post("/sessions/import")
@guarded(Act.PLAN)
def import_submit() -> Response | tuple[str, int]:
    """Take sessions.csv in whole, or say everything that is wrong with it and take nothing."""
    found, problems = read_sessions(uploaded_text("file"), known_for_sessions(db(), now()))
    if problems:
        return _listing(problems), 422
    try:
        changed = import_sessions(db(), now(), me(), found)
    except Refused as no:
        db().rollback()
        return _listing(no.reasons), 422
    return done(url_for("planning.listing"), f"{len(found)} rows read, {changed} of them new or changed.")


@pages.get("/sessions/new")
@guarded(Act.PLAN)
def new() -> str:
    """Show the form for a new session, with whoever and whatever was there in the last one like it."""
    form = with_choices(SessionForm(), None)
    before = sessions(db())
    like = next((one for one in before if one.code == request.args.get("like")), before[-1] if before else None)
    if like:
        form.fill(like)
        form.code.data, form.title.data, form.day.data = "", "", None
    return _session_page(form, None)


@pages.post("/sessions/new")
@guarded(Act.PLAN)
def new_submit() -> Response | tuple[str, int]:
    """Store a new session."""
    form = with_choices(SessionForm(), None)
    session = form.session()
    if session and session.code in {one.code for one in sessions(db())}:
        form.code.errors = [f"{session.code} is there already; choose another code."]
        session = None
    return _save(form, session, None)


@pages.get("/sessions/<code>/edit")
@guarded(Act.PLAN)
def edit(code: str) -> str:
    """Show a session to be changed."""
    session = session_for(db(), code)
    if closing_of(db(), code):
        raise Refused(f"Session {code} was closed; it no longer changes.")
    form = with_choices(SessionForm(), session)
    form.fill(session)
    return _session_page(form, session)


@pages.post("/sessions/<code>/edit")
@guarded(Act.PLAN)
def edit_submit(code: str) -> Response | tuple[str, int]:
    """Store a changed session, if its plan still fits."""
    session = session_for(db(), code)
    form = with_choices(SessionForm(), session)
    form.code.data = code
    return _save(form, form.session(), session)


def _save(form: SessionForm, changed: SessionFact | None, before: SessionFact | None) -> Response | tuple[str, int]:
    seen = request.form.get("seen", "")
    if changed is None:
        return _session_page(form, before, seen), 422
    try:
        if before is None or before.day != changed.day:
            refuse_too_early(db(), [changed.day], now())
        save_session(db(), now(), me(), changed, seen)
    except Stale as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _session_page(form, before, written=changed), 422
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _session_page(form, before, seen), 422
    return done(url_for("planning.session", code=changed.code), "Stored.")


def with_choices(form: AnyForm, session: SessionFact | None) -> AnyForm:
    """Return a form with what may be chosen; what a session names already stays choosable."""
    titles = {
        slug: one.title for edition in known_editions(db(), now()) for slug, one in edition.program.stations.items()
    }
    own = session.stations if session else ()
    form.stations.choices = [(slug, titles.get(slug, slug)) for slug in dict.fromkeys((*titles, *own))]
    form.participants.choices = [(one.code, f"{one.first_name}, {one.code}") for one in participants(db())]
    form.volunteers.choices = [(one.code, f"{one.name}, {one.code}") for one in people(db(), VOLUNTEER)]
    form.observers.choices = [(one.code, f"{one.name}, {one.code}") for one in people(db(), OBSERVER)]
    return form


def _session_page(
    form: SessionForm, session: SessionFact | None, seen: str | None = None, written: SessionFact | None = None
) -> str:
    """Show the form; with what was written beside what is there now, where somebody else was quicker."""
    return render_template(
        "planning/session_form.html",
        form=form,
        session=session,
        seen=seen or (seal(session) if session else ""),
        differences=differences(session, written) if session and written else (),
        changed=last_change(db(), session.code) if session and written else None,
        names=names_of_all(db()) if written else {},
    )


def _term_shown(all_terms: Sequence[TermFact], day: date) -> TermFact | None:
    """Return the term that was chosen, else the current one; None for all of them."""
    chosen = request.args.get("term")
    if chosen is None:
        return current_term(all_terms, day)
    return next((one for one in all_terms if one.code == chosen), None)


def _listing(problems: Any = ()) -> str:
    show = request.args.get("show", "coming")
    show = show if show in SHOWS else "coming"
    day, all_terms = today(), terms(db())
    term = _term_shown(all_terms, day)
    found = [one for one in own_sessions() if term is None or term.holds(one.day)]
    shown = [one for one in found if show == "all" or (one.day < day) == (show == "past")]
    return render_template(
        "planning/listing.html",
        sessions=shown if show == "coming" else shown[::-1],
        counts={
            "coming": sum(one.day >= day for one in found),
            "past": sum(one.day < day for one in found),
            "all": len(found),
        },
        show=show,
        today=day,
        terms=all_terms,
        term=term,
        closed=closed_sessions(db()),
        coordinates=me().may(Act.PLAN),
        checks_in=me().may(Act.CHECK_IN),
        form=SessionsFileForm(formdata=None),
        problems=problems,
    )
