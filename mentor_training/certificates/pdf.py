"""A certificate on paper, with its number, its verification address and that address as a QR code."""

from __future__ import annotations

from datetime import date

from sqlalchemy.orm import Session

from mentor_training.certificates.queries import last_day_of
from mentor_training.certificates.rules import grouped
from mentor_training.certificates.tables import Certificate
from mentor_training.hours.rules import in_hours
from mentor_training.people.tables import Person
from mentor_training.web.pdf import fill, render_pdf
from mentor_training.web.qr import qr_code


def verification_address(site: str, row: Certificate) -> str:
    """Return the address at which anybody can check a certificate; `site` is the server's public address."""
    return f"{site}/verify/{row.number}/{grouped(row.verification_code)}"


def certificate_pdf(db: Session, row: Certificate, site: str, credential: bytes = b"") -> bytes:
    """Return a certificate as PDF, from the content that was frozen when it was issued.

    With its `credential` the PDF carries that as a file, and is of the variant that is made to be kept (PDF/A-3).
    """
    address = verification_address(site, row)
    issuer = db.get(Person, row.issued_by)
    body = fill(
        "certificates/_certificate_print.html",
        content=row.content,
        day=date.fromisoformat(row.content["day"]),
        last_day=last_day_of(row.content),
        replaces=row.content.get("replaces", ""),
        rests_on=[
            one | {"since": date.fromisoformat(one["since"]) if one["since"] else None}
            for one in row.content["rests_on"]
        ],
        hours=[(name, in_hours(minutes)) for name, minutes in row.content["minutes"].items()],
        issued_by=f"{issuer.name} ({issuer.code})" if issuer else row.issued_by,
        code=grouped(row.verification_code),
        address=address,
        site=f"{site}/verify",
        qr_code=qr_code(address),
        journal_head=row.journal_head,
    )
    title, sheets = f"Certificate {row.number}, {row.content['title']}", ("pdf.css", "certificate.css")
    return render_pdf(body, title, sheets, attached={f"{row.number}.json": credential} if credential else None)
