"""A volunteer's own certificates."""

from __future__ import annotations

from flask import Response, render_template

from mentor_training.certificates.pages.blueprint import archival_pdf_of, credential_file, pages, pdf_of
from mentor_training.certificates.queries import candidates, issued_to
from mentor_training.people.access import db, guarded, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.people.queries import person_for


@pages.get("/certificates")
@guarded(Act.SEE_OWN_PATH)
def own() -> str:
    """Show one's own certificates, and what is missing for the others."""
    row = person_for(db(), me().code)
    return render_template(
        "certificates/own.html",
        issued=issued_to(db(), (row.code,)),
        on=today(),
        others=[one for one in candidates(db(), (row,), today(), now()) if not one.valid],
    )


@pages.get("/certificates/<number>.pdf")
@guarded(Act.SEE_OWN_PATH)
def own_pdf(number: str) -> Response:
    """Give one's own certificate as PDF."""
    return pdf_of(number)


@pages.get("/certificates/<number>/archival.pdf")
@guarded(Act.SEE_OWN_PATH)
def own_archival_pdf(number: str) -> Response:
    """Give one's own certificate as the PDF that is made to be kept, with its credential in it."""
    return archival_pdf_of(number)


@pages.get("/certificates/<number>.json")
@guarded(Act.SEE_OWN_PATH)
def own_credential(number: str) -> Response:
    """Give the credential of one's own certificate, to be put wherever such credentials are kept."""
    return credential_file(number)
