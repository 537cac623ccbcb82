"""A certificate on paper, Letter or A4, with its number, its verification address and that address as a QR code."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from mentor_training.certificates.queries import last_day_of
from mentor_training.certificates.rules import grouped
from mentor_training.certificates.tables import Certificate
from mentor_training.hours.rules import in_hours
from mentor_training.people.tables import Person
from mentor_training.web.pdf import fill, form_of, render_pdf
from mentor_training.web.qr import qr_code

TEMPLATE = "certificates/_certificate_print.html"
SHEETS = {"letter": ("pdf.css", "certificate.css"), "a4": ("pdf.css", "certificate.css", "certificate-a4.css")}


@dataclass(frozen=True)
class Sheet:
    """A certificate ready to be rendered, by this process or another: it rests on nothing but itself."""

    number: str
    title: str
    body: str
    size: str
    credential: bytes = b""

    def render(self) -> bytes:
        """Return it as PDF; with its credential it carries that as a file, and is made to be kept (PDF/A-3)."""
        sheets = SHEETS[self.size]
        attached = {f"{self.number}.json": self.credential} if self.credential else None
        return render_pdf(
            self.body, self.title, sheets, attached=attached, made_by=form_of(TEMPLATE, sheets), identifier=self.mark
        )

    @property
    def mark(self) -> bytes:
        """Return what tells its PDF from every other: another as soon as anything that it is made of is another.

        In letters and digits, for a PDF's reader takes some other bytes of a string for the end of a line.
        """
        parts = (self.title, self.body, form_of(TEMPLATE, SHEETS[self.size]))
        return hashlib.sha256("\0".join(parts).encode() + self.credential).hexdigest()[:32].encode()


def verification_address(site: str, row: Certificate) -> str:
    """Return the address at which anybody can check a certificate; `site` is the server's public address."""
    return f"{site}/verify/{row.number}/{grouped(row.verification_code)}"


def certificate_pdf(db: Session, row: Certificate, site: str, credential: bytes = b"", size: str = "letter") -> bytes:
    """Return a certificate as PDF, from the content that was frozen when it was issued.

    With its `credential` the PDF carries that as a file, and is of the variant that is made to be kept (PDF/A-3).
    """
    return sheet_of(row, db.get(Person, row.issued_by), site, credential, size).render()


def sheet_of(
    row: Certificate, issuer: Person | None, site: str, credential: bytes = b"", size: str = "letter"
) -> Sheet:
    """Return what a certificate's PDF is made of; `issuer` is who issued it, None where nobody of the program did."""
    address = verification_address(site, row)
    body = fill(
        TEMPLATE,
        content=row.content,
        day=date.fromisoformat(row.content["day"]),
        last_day=last_day_of(row.content),
        replaces=row.content.get("replaces", ""),
        signed_by=row.content.get("signed_by", ""),
        rests_on=[
            one | {"since": date.fromisoformat(one["since"]) if one["since"] else None}
            for one in row.content["rests_on"]
        ],
        hours=[(name, in_hours(minutes)) for name, minutes in row.content["minutes"].items()],
        entered_by=f"{issuer.name} ({issuer.code})" if issuer else "",
        code=grouped(row.verification_code),
        address=address,
        site=f"{site}/verify",
        qr_code=qr_code(address),
        journal_head=row.journal_head,
    )
    return Sheet(row.number, f"Certificate {row.number}, {row.content['title']}", body, size, credential)
