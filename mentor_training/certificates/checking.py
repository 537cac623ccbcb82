"""What a certificate's file says, a PDF or a bare credential, held to the keys and the certificates of this program."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Session

from mentor_training.certificates.attachments import attached_credential
from mentor_training.certificates.credential import credential
from mentor_training.certificates.credential_check import Checked, check, differences
from mentor_training.certificates.pdf import certificate_pdf
from mentor_training.certificates.queries import verify
from mentor_training.certificates.rules import Standing
from mentor_training.certificates.signing import award_of
from mentor_training.certificates.tables import Certificate
from mentor_training.database.signing_keys import SigningKey, signing_keys
from mentor_training.errors import PdfUnavailable, Refused
from mentor_training.settings import Settings
from mentor_training.web.pdf_pages import PDF_START, are_drawn_alike, pages_changed, paper_size

OWN_ADDRESS = re.compile(r"/verify/([A-Z0-9-]{1,40})/([A-Z0-9-]{1,40})\Z")
MOST_SHOWN = 30
STRANGE_KEY = "It is signed by a key that is none of this program's."


@dataclass(frozen=True)
class Answer:
    """What a file is: its certificate, who signed it, how the certificate stands, and all that does not match.

    Where a PDF's pages could not be compared, `uncompared` says why, and what they have to say.
    """

    number: str
    document: Mapping[str, Any]
    key: str
    signer: str
    standing: Standing
    faults: tuple[str, ...]
    uncompared: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Say whether nothing was changed and one of this program's keys signed it."""
        return not self.faults


def look_at(db: Session, settings: Settings, data: bytes, on: date) -> Answer:
    """Look a file through without any network; Refused for one that holds no signed credential."""
    is_pdf = data.startswith(PDF_START)
    try:
        checked = check(attached_credential(data) if is_pdf else data)
    except ValueError as error:
        hint = ("A PDF without one is checked by the number and the code that are printed on it.",) if is_pdf else ()
        raise Refused(f"This is no signed certificate: {error}.", *hint) from None
    keys = signing_keys(settings.folder / "keys")
    number, code = named(checked.document)
    stands = verify(db, number, code, on)
    row = db.get(Certificate, number) if stands is not Standing.UNKNOWN else None
    faults = [*checked.faults, *_key_faults(checked, keys)]
    site = _site_of(checked, settings)
    if row:
        faults += differences(checked.document, credential(award_of(row, site, settings.zone)))
    wrong, uncompared = _pages(db, row, site, data) if row and is_pdf else ((), ())
    signer = signer_words(checked.key, keys)
    return Answer(number, checked.document, checked.key, signer, stands, (*faults, *wrong), tuple(uncompared))


def told(faults: Sequence[str]) -> tuple[str, ...]:
    """Return faults as they are shown: so many at the most, and without signs that a screen would obey.

    What a file says was written by whoever sent it.
    """
    shown = tuple(printable(fault) for fault in faults[:MOST_SHOWN])
    rest = len(faults) - len(shown)
    return (*shown, f"and {rest} more") if rest else shown


def printable(text: str) -> str:
    """Return a text with every sign that is not to be seen replaced."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def named(document: Mapping[str, Any]) -> tuple[str, str]:
    """Return the number and the code in a credential's own address, empty where it has another form."""
    found = OWN_ADDRESS.search(str(document.get("id", "")))
    return (found[1], found[2]) if found else ("", "")


def signer_words(key: str, keys: Sequence[SigningKey]) -> str:
    """Say whose key it is and from when to when that was in use."""
    for one in keys:
        if one.public == key:
            since = f"since {one.since[:10]}" if one.since else "from the beginning"
            return f"an earlier key of this program, until {one.until[:10]}" if one.until else f"in use {since}"
    return "none of this program's"


def _key_faults(checked: Checked, keys: Sequence[SigningKey]) -> Iterator[str]:
    if not checked.key:
        return
    found = next((one for one in keys if one.public == checked.key), None)
    if found is None:
        yield STRANGE_KEY
    elif found.until and _created(checked) and _created(checked) > datetime.fromisoformat(found.until):
        yield f"It says that it was signed after its key was taken out of use on {found.until[:10]}."


def _created(checked: Checked) -> Any:
    try:
        made = datetime.fromisoformat(str(checked.document["proof"].get("created")))
    except ValueError:
        return None
    return made if made.tzinfo else None


def _site_of(checked: Checked, settings: Settings) -> str:
    """Return the public address that the server had when the credential was signed; it may have moved since."""
    issuer = checked.document.get("issuer")
    address = str(issuer.get("id", "")) if isinstance(issuer, dict) else ""
    return address.removesuffix("/issuer") if address.endswith("/issuer") else settings.address


def _pages(db: Session, row: Certificate, site: str, data: bytes) -> tuple[Sequence[str], Sequence[str]]:
    """Return what a PDF's pages show that they should not, and where they cannot be compared why, and what is on them.

    By whom it was made a file says itself; so a page that was not compared is never called whole.
    """
    try:
        wanted = certificate_pdf(db, row, site, attached_credential(data), paper_size(data))
        if are_drawn_alike(data, wanted):
            return pages_changed(data, wanted, "certificate"), ()
    except PdfUnavailable:
        return (), ("Its pages were not compared: this machine cannot print.", *on_paper(row))
    except ValueError as error:
        return (f"What its pages show cannot be read: {error}.",), ()
    why = "Its pages were not compared: another edition of the form or of the renderer has drawn them."
    return (), (why, *on_paper(row))


def on_paper(row: Certificate) -> tuple[str, ...]:
    """Return what a certificate's first page has to say, for whoever compares it by eye."""
    content = row.content
    last = content.get("last_day")
    return (
        f"They have to say: {content['title']}, issued to {content['name']}, {content['day']},",
        f"{f'valid through {last}' if last else 'no last day is set'}, number {row.number}.",
    )
