"""The blueprint on which the pages of certificates hang, and how a certificate leaves as a file."""

from __future__ import annotations

from flask import Blueprint, Response

from mentor_training.certificates.pdf import certificate_pdf
from mentor_training.certificates.queries import certificate_for, in_force
from mentor_training.certificates.signing import credential_of
from mentor_training.people.access import db, instance, me
from mentor_training.web.paper_size import asked_size

pages = Blueprint("certificates", __name__)


def pdf_of(number: str) -> Response:
    """Answer with a certificate as PDF: one's own, or one that the person could issue."""
    size, row = asked_size(), in_force(certificate_for(db(), me(), number))
    content = certificate_pdf(db(), row, instance().settings.address, size=size)
    headers = {"Content-Disposition": f'attachment; filename="{row.number}.pdf"'}
    return Response(content, content_type="application/pdf", headers=headers)


def archival_pdf_of(number: str) -> Response:
    """Answer with a certificate as the PDF that is made to be kept, its signed credential attached."""
    row, settings = in_force(certificate_for(db(), me(), number)), instance().settings
    content = certificate_pdf(db(), row, settings.address, credential_of(row, settings), asked_size())
    headers = {"Content-Disposition": f'attachment; filename="{row.number}-archival.pdf"'}
    return Response(content, content_type="application/pdf", headers=headers)


def credential_file(number: str) -> Response:
    """Answer with a certificate's signed credential, for whoever may have the certificate."""
    row = in_force(certificate_for(db(), me(), number))
    headers = {"Content-Disposition": f'attachment; filename="{row.number}.json"'}
    return Response(credential_of(row, instance().settings), content_type="application/json", headers=headers)
