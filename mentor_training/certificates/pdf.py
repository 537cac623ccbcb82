"""A certificate on paper, with its number, its verification address and that address as a QR code."""

from __future__ import annotations

import io
from datetime import date

import segno
from sqlalchemy.orm import Session

from mentor_training.certificates.rules import grouped
from mentor_training.certificates.tables import Certificate
from mentor_training.hours.rules import in_hours
from mentor_training.people.tables import Person
from mentor_training.web.pdf import data_url, fill, render_pdf


def verification_address(site: str, row: Certificate) -> str:
    """Return the address at which anybody can check a certificate; `site` is the server's public address."""
    return f"{site}/verify/{row.number}/{grouped(row.verification_code)}"


def qr_code(address: str) -> str:
    """Return an address as a QR code (ISO/IEC 18004, error correction M), an SVG in a data: URL."""
    out = io.BytesIO()
    segno.make_qr(address, error="m").save(out, kind="svg", border=4, xmldecl=False, svgns=True, scale=4)
    return data_url(out.getvalue(), "image/svg+xml")


def certificate_pdf(db: Session, row: Certificate, site: str) -> bytes:
    """Return a certificate as PDF, from the content that was frozen when it was issued."""
    address = verification_address(site, row)
    issuer = db.get(Person, row.issued_by)
    body = fill(
        "certificates/_certificate_print.html",
        content=row.content,
        day=date.fromisoformat(row.content["day"]),
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
    return render_pdf(body, f"Certificate {row.number}, {row.content['title']}", ("pdf.css", "certificate.css"))
