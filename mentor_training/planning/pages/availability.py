"""When somebody can come: said by themselves, or entered for them; and all of it as a file."""

from __future__ import annotations

from typing import Any

from flask import Response as FileResponse
from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.availability import CANNOT, PERSON, SESSION, TERM, Said, comes, deciding, last_said
from mentor_training.calendar.availability_file import COLUMNS, read_availability, rows_in_force
from mentor_training.calendar.queries import said, terms, upcoming
from mentor_training.calendar.rules import SessionFact
from mentor_training.csv_form import write_rows
from mentor_training.errors import NotAllowed, Refused, Stale
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.planning.actions.saying import import_availability, say_when
from mentor_training.planning.forms import FileForm, SayForm
from mentor_training.planning.pages.blueprint import pages
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.known import known_for_availability
from mentor_training.web.uploads import uploaded_text


@pages.get("/availability")
@guarded(Act.SEE_SESSIONS)
def own_availability() -> str:
    """Show what one has said of when one can come, and let it be said."""
    return _page(me().code)


@pages.get("/availability/<person>")
@guarded(Act.SEE_SESSIONS)
def availability(person: str) -> str:
    """Show the same of somebody, to the coordinator."""
    return _page(person)


@pages.post("/availability/<person>")
@guarded(Act.SEE_SESSIONS)
def say_submit(person: str) -> Response | tuple[str, int]:
    """Note what is said of a term, a day or a session."""
    form, seen = SayForm(), request.form.get("seen", 0, type=int)
    about, which = form.about.data or "", (form.which.data or "").strip()
    answer = form.answer(request.form.get("answer", ""))
    if answer is None:
        return _page(person, form, seen=seen), 422
    try:
        is_new = say_when(db(), now(), me(), person, about, which, answer, today(), seen)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        overtaken = answer if isinstance(no, Stale) else ""
        return _page(person, form, None if overtaken else seen, overtaken), 422
    back = request.args.get("session", "")
    address = url_for("planning.expected", code=back) if back else _address(person)
    return done(address, "Noted." if is_new else "That had been said already.")


@pages.get("/availability.csv")
@guarded(Act.PLAN)
def availability_csv() -> FileResponse:
    """Give what counts now in the form in which it is taken in."""
    headers = {"Content-Disposition": "attachment; filename=availability.csv"}
    text = write_rows(COLUMNS, rows_in_force(said(db(), now())))
    return FileResponse(text, mimetype="text/csv", headers=headers)


@pages.get("/availability/all")
@guarded(Act.PLAN)
def availability_listing() -> str:
    """Show what counts now of everybody, the newest first."""
    return _listing()


@pages.post("/availability/import")
@guarded(Act.PLAN)
def availability_import_submit() -> Response | tuple[str, int]:
    """Take availability.csv in whole, or say everything that is wrong with it and take nothing."""
    rows, problems = read_availability(uploaded_text("file"), known_for_availability(db()))
    if problems:
        return _listing(problems), 422
    changed = import_availability(db(), now(), me(), rows)
    return done(url_for("planning.availability_listing"), f"{len(rows)} rows read, {changed} of them new or changed.")


def _address(person: str) -> str:
    own = person == me().code
    return url_for("planning.own_availability") if own else url_for("planning.availability", person=person)


def _page(person: str, form: SayForm | None = None, seen: int | None = None, overtaken: str = "") -> str:
    """Show what was said; a form that was not taken as it was filled in, and what was said meanwhile beside it."""
    if person != me().code and not me().may(Act.PLAN):
        raise NotAllowed("when somebody else can come")
    row, there = person_for(db(), person), terms(db())
    spoken = said(db(), now(), PERSON, person)
    coming = [
        (one, deciding(spoken, PERSON, person, one, there))
        for one in upcoming(db(), today())
        if person in (*one.volunteers, *one.observers)
    ]
    latest = last_said(spoken)
    return render_template(
        "planning/availability.html",
        person=row,
        own=person == me().code,
        terms=[(one, latest.get((PERSON, person, TERM, one.code)), _week_form(one.code, latest, person, form))
               for one in there if one.last_day >= today()],
        coming=[(one, decided, [block for block in one.blocks if comes(decided, one.day, block)],
                 latest.get((PERSON, person, SESSION, one.code))) for one, decided in coming],
        form=form or SayForm(formdata=None),
        overtaken=overtaken,
        meanwhile=latest.get((PERSON, person, form.about.data or "", form.which.data or "")) if form else None,
        seen=max((one.number for one in spoken), default=0) if seen is None else seen,
        spoken=spoken[::-1],
        names=names_of_all(db()),
        titles=_titles(coming),
        cannot=CANNOT,
    )  # fmt: skip


def _titles(coming: list[tuple[SessionFact, Said | None]]) -> dict[str, str]:
    return {one.code: one.title for one in terms(db())} | {one.code: one.title for one, _ in coming}


def _week_form(code: str, latest: dict[Any, Said], person: str, sent: SayForm | None) -> SayForm:
    """Return the form of a term as it was sent, or filled with what was said last."""
    if sent and sent.about.data == TERM and sent.which.data == code:
        return sent.of_term(code)
    form, last = SayForm(formdata=None), latest.get((PERSON, person, TERM, code))
    form.fill_week(last.answer if last else "")
    return form.of_term(code)


def _listing(problems: Any = ()) -> str:
    latest = sorted(last_said(said(db(), now())).values(), key=lambda one: -one.number)
    return render_template(
        "planning/availability_listing.html",
        latest=latest,
        names=names_of_all(db()),
        form=FileForm(formdata=None),
        problems=problems,
        columns=COLUMNS,
    )
