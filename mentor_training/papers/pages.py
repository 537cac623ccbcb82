"""Papers: one's own, those of a volunteer, what waits to be verified, and what ends soon."""

from __future__ import annotations

from datetime import date, datetime

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.papers import actions, queries
from mentor_training.papers.forms import DeclineForm, PaperForm, paper_form
from mentor_training.papers.rules import date_faults
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteer_for, volunteers
from mentor_training.people.tables import Person
from mentor_training.program.queries import require_edition
from mentor_training.web.as_of import current_as_of

pages = Blueprint("papers", __name__)
Answer = Response | tuple[str, int]


@pages.get("/papers")
@guarded(Act.PUT_OWN_PAPER)
def own() -> str:
    """Show one's own papers, and the form to put one on file."""
    return _papers_page(_person(me().code), _form(paper=request.args.get("paper", "")))


@pages.post("/papers")
@guarded(Act.PUT_OWN_PAPER)
def own_submit() -> Answer:
    """Put one of one's own papers on file."""
    return _put(_person(me().code), url_for("papers.own"), verify=False)


@pages.get("/papers/of/<code>")
@guarded(Act.VERIFY_PAPERS)
def volunteer(code: str) -> str:
    """Show a volunteer's papers, and the form to put one on file for them."""
    return _papers_page(_person(code), _form(paper=request.args.get("paper", "")))


@pages.post("/papers/of/<code>")
@guarded(Act.VERIFY_PAPERS)
def volunteer_submit(code: str) -> Answer:
    """Put a paper on file for a volunteer, and verify it at once where that button was pressed."""
    return _put(_person(code), url_for("papers.volunteer", code=code), verify=request.form.get("then") == "verify")


@pages.get("/papers/waiting")
@guarded(Act.VERIFY_PAPERS)
def waiting() -> str:
    """Show what waits to be verified, and every volunteer's papers to choose from."""
    entries = queries.waiting(db())
    program = require_edition(db(), today(), now()).program
    people = volunteers(db())
    return render_template(
        "papers/waiting.html",
        entries=[(row, program.title_of(f"paper/{row.paper}"), queries.end_under(program, row)) for row in entries],
        names={row.code: row.name for row in people},
        people=people,
    )


@pages.post("/papers/<int:number>/verify")
@guarded(Act.VERIFY_PAPERS)
def verify_submit(number: int) -> Response:
    """Verify a paper; from then on it counts."""
    row = actions.verify(db(), now(), me(), number)
    return done(_back(row.person), f"Verified: {_title(row.paper)}, {_person(row.person).name}.")


@pages.get("/papers/<int:number>/decline")
@guarded(Act.VERIFY_PAPERS)
def decline(number: int) -> str:
    """Show the paper, and ask why it is declined."""
    return _decline_page(number, DeclineForm())


@pages.post("/papers/<int:number>/decline")
@guarded(Act.VERIFY_PAPERS)
def decline_submit(number: int) -> Answer:
    """Decline a paper with the reason."""
    form = DeclineForm()
    if not form.validate_on_submit():
        return _decline_page(number, form), 422
    try:
        row = actions.decline(db(), now(), me(), number, form.reason.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _decline_page(number, form), 422
    return done(url_for("papers.waiting"), f"Declined: {_title(row.paper)}, {_person(row.person).name}.")


def _asked() -> tuple[date, datetime]:
    as_of = current_as_of(now(), instance().settings.zone)
    return as_of.day, as_of.known_at or now()


def _person(code: str) -> Person:
    return volunteer_for(db(), me(), code)


def _title(paper: str) -> str:
    return require_edition(db(), today(), now()).program.title_of(f"paper/{paper}")


def _form(**given: object) -> PaperForm:
    return paper_form(require_edition(db(), today(), now()).program, **given)


def _put(person: Person, back: str, verify: bool) -> Answer:
    form = _form()
    is_valid = form.validate_on_submit()
    if form.issued.data is not None:
        for field, fault in date_faults(today(), form.issued.data, form.last_day.data).items():
            form[field].errors = [fault]
            is_valid = False
    if not is_valid or form.issued.data is None:
        return _papers_page(person, form), 422
    try:
        row = actions.put_on_file(
            db(), now(), today(), me(), person.code, form.paper.data, form.issued.data, form.last_day.data
        )
        if verify:
            actions.verify(db(), now(), me(), row.id)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _papers_page(person, form), 422
    return done(back, f"{_title(row.paper)} is on file{' and verified' if verify else '; it waits to be verified'}.")


def _back(person: str) -> str:
    """Return where the coordinator came from: the volunteer's page, or what waits."""
    if request.form.get("back") == "volunteer":
        return url_for("papers.volunteer", code=person)
    return url_for("papers.waiting")


def _papers_page(person: Person, form: PaperForm) -> str:
    day, known_at = _asked()
    return render_template(
        "papers/papers.html",
        person=person,
        lines=queries.papers_of(db(), person.code, day, known_at),
        form=form,
        soon=queries.SOON_DAYS,
        is_own=person.code == me().code,
    )


def _decline_page(number: int, form: DeclineForm) -> str:
    row = queries.entry_for(db(), number)
    return render_template(
        "papers/decline.html", row=row, person=_person(row.person), title=_title(row.paper), form=form
    )
