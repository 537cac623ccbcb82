"""What waits to be verified; verifying with the paper in sight, and declining with the reason."""

from __future__ import annotations

from flask import render_template, request, url_for

from mentor_training.errors import NotAllowed, Refused
from mentor_training.papers import queries
from mentor_training.papers.access import sweep_scans
from mentor_training.papers.actions.deciding import decline, verify
from mentor_training.papers.forms import NO_HANDS_ON, DeclineForm, VerifyForm
from mentor_training.papers.pages.blueprint import Answer, pages, person_of, program_now, title_of
from mentor_training.papers.rules import MONTHS, Seen, verification_faults, what_ends
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import volunteers
from mentor_training.web.display import show_day

READY_REASONS = {"hands-on": NO_HANDS_ON}


@pages.get("/papers/waiting")
@guarded(Act.VERIFY_PAPERS)
def waiting() -> str:
    """Show what waits to be verified, and every volunteer's papers to choose from."""
    entries, program, people = queries.waiting(db()), program_now(), volunteers(db())
    scans = queries.shown_scans(db(), now())
    return render_template(
        "papers/waiting.html",
        entries=[
            (row, program.title_of(f"paper/{row.paper}"), queries.end_under(program, row), scans.get(row.scan or 0))
            for row in entries
        ],
        names={row.code: row.name for row in people},
        people=people,
    )


@pages.get("/papers/<int:number>/verify")
@guarded(Act.VERIFY_PAPERS)
def verifying(number: int) -> str:
    """Show a paper that waits, its picture where one was sent, and ask what is seen on it."""
    row = _waiting(number)
    return _verify_page(row, _verify_form(row, issued=row.issued, last_day=row.last_day))


@pages.post("/papers/<int:number>/verify")
@guarded(Act.VERIFY_PAPERS)
def verify_submit(number: int) -> Answer:
    """Verify a paper with the dates as they are seen on it; from then on it counts."""
    row = _waiting(number)
    form = _verify_form(row)
    form.validate_on_submit()
    seen = Seen(form.issued.data, form.last_day.data, form.answer)
    if not form.issued.errors and not form.last_day.errors:
        for field, fault in verification_faults(today(), seen, "hands_on" in form).items():
            form[field].errors = [fault]
    if form.errors:
        return _verify_page(row, form), 422
    try:
        row = verify(db(), now(), today(), me(), number, seen)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _verify_page(row, form), 422
    answer = done(_back(row.person), _verified(row, seen))
    sweep_scans()
    return answer


@pages.get("/papers/<int:number>/decline")
@guarded(Act.VERIFY_PAPERS)
def declining(number: int) -> str:
    """Show the paper, and ask why it is declined; the reason may be ready."""
    return _decline_page(number, DeclineForm(reason=READY_REASONS.get(request.args.get("because", ""), "")))


@pages.post("/papers/<int:number>/decline")
@guarded(Act.VERIFY_PAPERS)
def decline_submit(number: int) -> Answer:
    """Decline a paper with the reason."""
    form = DeclineForm()
    if not form.validate_on_submit():
        return _decline_page(number, form), 422
    try:
        row = decline(db(), now(), me(), number, form.reason.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _decline_page(number, form), 422
    answer = done(url_for("papers.waiting"), f"Declined: {title_of(row.paper)}, {person_of(row.person).name}.")
    sweep_scans()
    return answer


def _waiting(number: int) -> PaperOnFile:
    row = queries.entry_for(db(), number)
    if row.person == me().code:
        raise NotAllowed("the verification of one's own paper")
    if row.verified_at or row.declined_at:
        raise Refused(f"It was {'verified' if row.verified_at else 'declined'} already; nothing more was stored.")
    return row


def _verify_form(row: PaperOnFile, **given: object) -> VerifyForm:
    form, paper = VerifyForm(**given), program_now().papers.get(row.paper)
    if not paper or not paper.hands_on:
        del form.hands_on
    return form


def _verify_page(row: PaperOnFile, form: VerifyForm) -> str:
    paper = program_now().papers.get(row.paper)
    months = paper.good_for_months if paper else None
    issued, last_day = form.issued.data or row.issued, form.last_day.data
    return render_template(
        "papers/verify.html",
        row=row,
        person=person_of(row.person),
        title=title_of(row.paper),
        form=form,
        end=what_ends(issued, last_day, months),
        months=months,
        scan=queries.shown_scans(db(), now(), row.person).get(row.scan or 0),
        back=request.values.get("back", ""),
    )


def _decline_page(number: int, form: DeclineForm) -> str:
    row = queries.entry_for(db(), number)
    return render_template(
        "papers/decline.html", row=row, person=person_of(row.person), title=title_of(row.paper), form=form
    )


def _verified(row: PaperOnFile, seen: Seen) -> str:
    """Say what was verified and through which day it is good, and where the printed day is cut, by what."""
    paper = program_now().papers.get(row.paper)
    end = what_ends(seen.issued or row.issued, seen.last_day, paper.good_for_months if paper else None)
    through = f"good through {show_day(end.day)}" if end.day else "with no end"
    if end.by == MONTHS and seen.last_day and paper:
        through += f", {paper.good_for_months} months after its issue, which comes before the printed day"
    return f"Verified: {title_of(row.paper)}, {person_of(row.person).name}; {through}."


def _back(person: str) -> str:
    """Return where the coordinator came from: the volunteer's page, or what waits."""
    if request.form.get("back") == "volunteer":
        return url_for("papers.volunteer", code=person)
    return url_for("papers.waiting")
