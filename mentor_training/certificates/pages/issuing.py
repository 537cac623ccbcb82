"""Who could be issued which certificate, issuing, and revoking."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence

from flask import Response, render_template, url_for
from werkzeug.wrappers import Response as Answer

from mentor_training.certificates import actions
from mentor_training.certificates.doubts import Doubt, in_doubt
from mentor_training.certificates.forms import ReissueForm, RevokeForm
from mentor_training.certificates.pages.blueprint import pages, pdf_of
from mentor_training.certificates.queries import Issued, candidates, certificate_for, issued_to, people_for
from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.program.queries import require_edition


@pages.get("/certificates/issuing")
@guarded(Act.ISSUE_CERTIFICATES)
def issuing() -> str:
    """Show who is ready for which certificate, who is not and why, and what was issued."""
    people = people_for(db(), me())
    return render_template(
        "certificates/issuing.html",
        kinds=list(require_edition(db(), today(), now()).program.certificates.values()),
        candidates=candidates(db(), people, today(), now()),
        issued=issued_to(db(), [row.code for row in people]),
        doubts=in_doubt(db(), [row.code for row in people], today(), now()),
        on=today(),
        names={row.code: row.name for row in people},
        by_section=lambda some: _by_section(people, {one.person for one in some}),
    )


def _by_section(people: Sequence[Person], some: Collection[str]) -> list[tuple[str, int]]:
    """Return how many of some people are in each section, where they are in more than one."""
    counted = Counter(section for row in people if row.code in some for section in row.sections)
    return sorted(counted.items()) if len(counted) > 1 else []


@pages.post("/certificates/issuing/<person>/<kind>")
@guarded(Act.ISSUE_CERTIFICATES)
def issue_submit(person: str, kind: str) -> Answer:
    """Issue a certificate."""
    row = actions.issue(db(), now(), me(), person, kind, today())
    return done(url_for("certificates.issuing"), f"{row.number} is issued to {row.content['name']}.")


@pages.get("/certificates/issued/<number>.pdf")
@guarded(Act.ISSUE_CERTIFICATES)
def issued_pdf(number: str) -> Response:
    """Give a certificate that one could issue as PDF."""
    return pdf_of(number)


@pages.get("/certificates/issued/<number>/revoke")
@guarded(Act.ISSUE_CERTIFICATES)
def revoke(number: str) -> str:
    """Show what revoking does, and to whom, before it is done."""
    return _revoke_page(certificate_for(db(), me(), number), RevokeForm())


@pages.post("/certificates/issued/<number>/revoke")
@guarded(Act.ISSUE_CERTIFICATES)
def revoke_submit(number: str) -> Answer | tuple[str, int]:
    """Revoke a certificate; from now on verification says so."""
    issued, form = certificate_for(db(), me(), number), RevokeForm()
    if form.validate_on_submit():
        try:
            actions.revoke(db(), now(), me(), number, form.reason.data or "")
            return done(url_for("certificates.issuing"), f"{number} is revoked.")
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
    return _revoke_page(issued, form), 422


@pages.get("/certificates/issued/<number>/reissue")
@guarded(Act.ISSUE_CERTIFICATES)
def reissue(number: str) -> str:
    """Show what issuing anew does, and to whom, before it is done."""
    return _reissue_page(certificate_for(db(), me(), number), ReissueForm())


@pages.post("/certificates/issued/<number>/reissue")
@guarded(Act.ISSUE_CERTIFICATES)
def reissue_submit(number: str) -> Answer | tuple[str, int]:
    """Revoke a certificate and issue it anew, in one step."""
    issued, form = certificate_for(db(), me(), number), ReissueForm()
    if form.validate_on_submit():
        try:
            row = actions.reissue(db(), now(), me(), number, form.reason.data or "", today())
            return done(url_for("certificates.issuing"), f"{number} is revoked, and {row.number} is issued for it.")
        except Refused as no:
            form.form_errors.extend(no.reasons)
            db().rollback()
    return _reissue_page(issued, form), 422


def _revoke_page(issued: Issued, form: RevokeForm) -> str:
    name = person_for(db(), issued.certificate.person).name
    return render_template("certificates/revoke.html", issued=issued, name=name, form=form, doubt=_doubt_about(issued))


def _reissue_page(issued: Issued, form: ReissueForm) -> str:
    name = person_for(db(), issued.certificate.person).name
    doubt = _doubt_about(issued)
    return render_template("certificates/reissue.html", issued=issued, name=name, form=form, doubt=doubt)


def _doubt_about(issued: Issued) -> Doubt | None:
    found = in_doubt(db(), (issued.certificate.person,), today(), now())
    return next((one for one in found if one.issued.certificate.number == issued.certificate.number), None)
