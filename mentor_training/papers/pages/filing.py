"""One's own papers and those of a volunteer; a paper put on file, with a picture of it or without."""

from __future__ import annotations

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotAllowed, Refused
from mentor_training.papers import queries
from mentor_training.papers.access import scan_folder, sweep_scans
from mentor_training.papers.actions.deciding import verify
from mentor_training.papers.actions.filing import put_on_file
from mentor_training.papers.actions.scans import add_scan, share_scan
from mentor_training.papers.forms import (
    CHOOSE_AGAIN,
    NOTHING_CHOSEN,
    PaperForm,
    ScanForm,
    paper_form,
    plain_scan,
    scan_form,
    shared_scan,
)
from mentor_training.papers.pages.blueprint import Answer, asked, pages, person_of, program_now, title_of
from mentor_training.papers.rules import date_faults
from mentor_training.papers.scans.kinds import ACCEPTED
from mentor_training.papers.scans.reading import PlainScan
from mentor_training.papers.tables import PaperOnFile
from mentor_training.people.access import db, done, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person


@pages.get("/papers")
@guarded(Act.PUT_OWN_PAPER)
def own() -> str:
    """Show one's own papers, and the form to put one on file."""
    person = person_of(me().code)
    return _papers_page(person, _form(person, paper=request.args.get("paper", "")))


@pages.post("/papers")
@guarded(Act.PUT_OWN_PAPER)
def own_submit() -> Answer:
    """Put one of one's own papers on file."""
    return _put(person_of(me().code), url_for("papers.own"))


@pages.get("/papers/of/<code>")
@guarded(Act.VERIFY_PAPERS)
def volunteer(code: str) -> str:
    """Show a volunteer's papers, and the form to put one on file for them."""
    person = person_of(code)
    return _papers_page(person, _form(person, paper=request.args.get("paper", "")))


@pages.post("/papers/of/<code>")
@guarded(Act.VERIFY_PAPERS)
def volunteer_submit(code: str) -> Answer:
    """Put a paper on file for a volunteer, and verify it at once where that button was pressed."""
    return _put(person_of(code), url_for("papers.volunteer", code=code), request.form.get("then") == "verify")


@pages.get("/papers/<int:number>/scan")
@guarded(Act.PUT_OWN_PAPER)
def scan(number: int) -> str:
    """Show the form to send a picture of one's own paper that waits."""
    row = _own_entry(number)
    return _scan_page(row, scan_form(program_now(), queries.scans_to_share(db(), row.person)))


@pages.post("/papers/<int:number>/scan")
@guarded(Act.PUT_OWN_PAPER)
def scan_submit(number: int) -> Answer:
    """Keep a picture of one's own paper that waits; one sent before goes."""
    row = _own_entry(number)
    form = scan_form(program_now(), queries.scans_to_share(db(), row.person))
    is_valid, plain = form.validate_on_submit(), plain_scan(form)
    if is_valid and not form.scan.data and shared_scan(form) is None:
        form.scan.errors = [NOTHING_CHOSEN]
    if not is_valid or form.scan.errors or not _keep(form, row, plain):
        return _scan_page(row, form), 422
    return _done(url_for("papers.own"), f"The picture of {title_of(row.paper)} waits with it.")


def _own_entry(number: int) -> PaperOnFile:
    row = queries.entry_for(db(), number)
    if row.person != me().code:
        raise NotAllowed("somebody else's papers")
    return row


def _form(person: Person, **given: object) -> PaperForm:
    return paper_form(program_now(), queries.scans_to_share(db(), person.code), **given)


def _put(person: Person, back: str, verify_too: bool = False) -> Answer:
    form = _form(person)
    plain = _checked(form)
    if form.errors or form.issued.data is None:
        return _refused(person, form)
    try:
        row = put_on_file(
            db(), now(), today(), me(), person.code, form.paper.data, form.issued.data, form.last_day.data
        )
        if not _keep(form, row, plain):
            return _refused(person, form)
        return _answer(row, back, verify_too)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _refused(person, form)


def _checked(form: PaperForm) -> PlainScan | None:
    """Check every field, so that all that is wrong is said at once; return what is kept of the file."""
    form.validate_on_submit()
    plain = plain_scan(form)
    if form.issued.data is not None:
        for field, fault in date_faults(today(), form.issued.data, form.last_day.data).items():
            form[field].errors = [fault]
    return plain


def _keep(form: ScanForm, row: PaperOnFile, plain: PlainScan | None) -> bool:
    """Keep the file that was sent, or name the one sent before; say whether that went well, the field says why not."""
    zone, shared = instance().settings.zone, shared_scan(form)
    try:
        if plain:
            add_scan(db(), now(), zone, me(), row.id, scan_folder(), plain)
        elif shared is not None:
            share_scan(db(), now(), zone, me(), row.id, shared)
    except Refused as no:
        db().rollback()
        (form.scan if plain else form.same_as).errors = list(no.reasons)
        return False
    return True


def _answer(row: PaperOnFile, back: str, verify_too: bool) -> Answer:
    """Commit and go on: where one button does both and more has to be answered, to the page that asks it."""
    paper, title = program_now().papers[row.paper], title_of(row.paper)
    if verify_too and (paper.hands_on or row.scan):
        return _done(url_for("papers.verifying", number=row.id), f"{title} is on file; what is left is asked here.")
    if verify_too:
        verify(db(), now(), today(), me(), row.id)
    return _done(back, f"{title} is on file{' and verified' if verify_too else '; it waits to be verified'}.")


def _done(location: str, message: str) -> Response:
    """Commit, and then take away what has no use any more, such as a picture that another one took the place of."""
    answer = done(location, message)
    sweep_scans()
    return answer


def _refused(person: Person, form: PaperForm) -> tuple[str, int]:
    if form.scan.data and not form.scan.errors:
        form.scan.errors = [CHOOSE_AGAIN]
    return _papers_page(person, form), 422


def _papers_page(person: Person, form: PaperForm) -> str:
    day, known_at = asked()
    return render_template(
        "papers/papers.html",
        person=person,
        lines=queries.papers_of(db(), person.code, day, known_at),
        form=form,
        soon=queries.SOON_DAYS,
        is_own=person.code == me().code,
        accepted=ACCEPTED,
        not_scanned=[paper.title for paper in program_now().papers.values() if not paper.scan],
        policy=program_now().policy,
    )


def _scan_page(row: PaperOnFile, form: ScanForm) -> str:
    return render_template(
        "papers/scan.html",
        row=row,
        title=title_of(row.paper),
        form=form,
        accepted=ACCEPTED,
        policy=program_now().policy,
    )
