"""Incidents: reported by an observer or the coordinator, listed for the coordinator, beside the floor as it ran."""

from __future__ import annotations

from datetime import date, time, timedelta

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.queries import session_for, sessions
from mentor_training.calendar.rules import SessionFact
from mentor_training.errors import NotAllowed, Refused
from mentor_training.observing.actions.incidents import Report, add_to_incident, report_incident, review_for_incident
from mentor_training.observing.queries.floor import sessions_before, volunteers_before
from mentor_training.observing.queries.incidents import additions_to, incident_for, incidents
from mentor_training.observing.queries.reviews import reviews_of_incident
from mentor_training.overview.forms import AdditionForm, IncidentForm
from mentor_training.overview.queries.incidents import floor_of
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import OBSERVER, Act
from mentor_training.people.queries import people
from mentor_training.planning.queries.board import names_of_all
from mentor_training.program.queries import require_edition
from mentor_training.web.forms import options

Answer = Response | tuple[str, int]
LATELY = timedelta(days=30)
ELSEWHERE = "none"

# A blueprint of its own: it is no place of the top line, and belongs to none.
pages = Blueprint("incidents", __name__)


@pages.get("/incidents")
@guarded(Act.SEE_INCIDENTS)
def listing() -> str:
    """Show every incident, the newest first."""
    rows = [(row, reviews_of_incident(db(), row.number)) for row in incidents(db())]
    titles = {slug: station.title for slug, station in require_edition(db(), today(), now()).program.stations.items()}
    return render_template("overview/incidents.html", rows=rows, names=names_of_all(db()), titles=titles)


@pages.get("/incidents/new")
@guarded(Act.REPORT_INCIDENT)
def new() -> str:
    """Ask at which session it was, then what happened."""
    if "session" not in request.args:
        return render_template("overview/incident_where.html", sessions=_lately())
    session = _session()
    return _form_page(session, _form(session, day=today()))


@pages.post("/incidents/new")
@guarded(Act.REPORT_INCIDENT)
def new_submit() -> Answer:
    """Record it, and show it with what may be done about it."""
    session = _session()
    form = _form(session)
    if not form.validate_on_submit() or form.about.data is None:
        return _form_page(session, form), 422
    try:
        row = report_incident(db(), now(), today(), me(), _report(session, form, form.about.data))
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _form_page(session, form), 422
    return done(url_for("incidents.incident", number=row.number), "The incident is recorded; the coordinator sees it.")


@pages.get("/incidents/<int:number>")
@guarded(Act.REPORT_INCIDENT)
def incident(number: int) -> str:
    """Show one incident; to the coordinator beside the floor as it ran."""
    return _page(number, AdditionForm())


@pages.post("/incidents/<int:number>")
@guarded(Act.REPORT_INCIDENT)
def addition_submit(number: int) -> Answer:
    """Add to it, or put something right in it."""
    form = AdditionForm()
    if not form.validate_on_submit():
        return _page(number, form), 422
    try:
        add_to_incident(db(), now(), me(), number, form.what.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _page(number, form), 422
    return done(url_for("incidents.incident", number=number), "It is added.")


@pages.post("/incidents/<int:number>/reviews/<person>")
@guarded(Act.REVIEW)
def review_submit(number: int, person: str) -> Response:
    """Open a review of one volunteer; the stand-down stands on its page."""
    row = review_for_incident(db(), now(), me(), number, person)
    return done(url_for("reviews.review", number=row.id), f"Review {row.id} is open.")


def _lately() -> list[SessionFact]:
    """Return the sessions of the last month that somebody may see, the newest first."""
    open_ones = sessions_before(db(), me(), today())
    rows = [one for one in sessions(db(), since=today() - LATELY) if one.day <= today()]
    return [one for one in reversed(rows) if open_ones is None or one.code in open_ones]


def _session() -> SessionFact | None:
    code = request.args.get("session", ELSEWHERE)
    if code == ELSEWHERE:
        return None
    found, open_ones = session_for(db(), code), sessions_before(db(), me(), today())
    if open_ones is not None and code not in open_ones:
        raise NotAllowed("a session that is not yours")
    return found


def _form(session: SessionFact | None, **given: object) -> IncidentForm:
    form = IncidentForm(**given)
    program = require_edition(db(), today(), now()).program
    slugs = [slug for slug in (session.stations if session else program.stations) if slug in program.stations]
    form.station.choices = options([("", "No station"), *((slug, program.stations[slug].title) for slug in slugs)])
    volunteers = [(row.code, row.name) for row in volunteers_before(db(), me(), today())]
    if session:
        volunteers = [pair for pair in volunteers if pair[0] in session.volunteers]
        del form.day
    form.involved.choices = options(volunteers)
    observers = [(row.code, row.name) for row in people(db(), OBSERVER)]
    form.led_by.choices = options([("", "Nobody, or not known"), *volunteers, *observers])
    blocks = session.blocks if session else ()
    spans = ((str(one.number), f"Block {one.number}, {one.starts:%H:%M} to {one.ends:%H:%M}") for one in blocks)
    form.block.choices = options([("", "Between blocks, or not known"), *spans])
    return form


def _report(session: SessionFact | None, form: IncidentForm, about: time) -> Report:
    return Report(
        day=_day(session, form),
        about=about,
        what=form.what.data or "",
        session=session.code if session else "",
        block=int(form.block.data) if form.block.data else None,
        station=form.station.data or "",
        led_by=form.led_by.data or "",
        involved=tuple(form.involved.data or ()),
    )


def _day(session: SessionFact | None, form: IncidentForm) -> date:
    return session.day if session else form.day.data or today()


def _form_page(session: SessionFact | None, form: IncidentForm) -> str:
    address = url_for("incidents.new_submit", session=session.code if session else ELSEWHERE)
    return render_template("overview/incident_form.html", session=session, form=form, address=address)


def _page(number: int, form: AdditionForm) -> str:
    row = incident_for(db(), me(), number)
    leads = me().may(Act.SEE_INCIDENTS)
    program = require_edition(db(), today(), now()).program
    return render_template(
        "overview/incident.html",
        incident=row,
        session=session_for(db(), row.session) if row.session else None,
        additions=additions_to(db(), number),
        floor=floor_of(db(), row) if leads else None,
        reviews=reviews_of_incident(db(), number) if leads else [],
        leads=leads,
        names=names_of_all(db()),
        titles={slug: station.title for slug, station in program.stations.items()},
        form=form,
    )
