"""Issuing certificates and revoking them; neither is ever changed afterwards."""

from __future__ import annotations

import secrets
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.certificates.queries import (
    certificate_for,
    grounds_of,
    kind_for,
    valid_number,
)
from mentor_training.certificates.rules import CODE_LENGTH, LIMITS, SIGNS, eligibility, issue_faults
from mentor_training.certificates.signing import holder_content
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.queries import holdings_for
from mentor_training.errors import NotFound, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.journal.queries import head
from mentor_training.people.permissions import VOLUNTEER, Actor
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.program.catalog import CATEGORIES, CertificateKind
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import require_edition


def issue(db: Session, at: datetime, by: Actor, person: str, kind: str, on: date) -> Certificate:
    """Issue a certificate to a volunteer whose holdings meet its requirement on a day, with its content frozen.

    Refuses with everything that is missing, and while one of the same kind is valid. `on` is the present day in the
    program's time zone.
    """
    take_turn(db)
    row = person_for(db, person)
    if VOLUNTEER not in row.roles:
        raise NotFound(f"volunteer {person}")
    edition = require_edition(db, on, at)
    wanted = kind_for(edition.program, kind)
    holdings = holdings_for(db, person, on, at)
    missing = eligibility(wanted.requires, holdings.holds, holdings.minutes, edition.program.title_of)
    faults = issue_faults(by, person, row.sections, missing, valid_number(db, person, kind))
    if faults:
        raise Refused(*faults)
    return _store(db, at, by, row, wanted, edition, holdings)


def revoke(db: Session, at: datetime, by: Actor, number: str, reason: str) -> Revocation:
    """Revoke a certificate, for a reason that stays with it; from now on verification says so."""
    take_turn(db)
    found = certificate_for(db, by, number)
    faults = [] if reason.strip() else ["Write the reason; it stays with the certificate."]
    if found.revocation:
        faults.append(f"{number} is revoked already.")
    if by.code == found.certificate.person:
        faults.append("Nobody revokes their own certificate; somebody else has to.")
    if faults:
        raise Refused(*faults)
    row = Revocation(certificate=number, moment=at, revoked_by=by.code, reason=reason.strip()[:500])
    db.add(row)
    db.flush()
    told = {"person": found.certificate.person, "reason": "sha256:" + digest(row.reason)}
    write(db, at, by.code, "certificate-revoked", number, told)
    return row


def _store(
    db: Session, at: datetime, by: Actor, row: Person, kind: CertificateKind, edition: PublishedProgram, held: Holdings
) -> Certificate:
    number = _next_number(db, held.day.year)
    content = _content(db, number, row, kind, edition, held)
    made = Certificate(
        number=number, verification_code="".join(secrets.choice(SIGNS) for _ in range(CODE_LENGTH)), person=row.code,
        kind=kind.slug, program_edition=edition.number, day=held.day, issued_at=at, issued_by=by.code, content=content,
        journal_head=head(db),
    )  # fmt: skip
    db.add(made)
    db.flush()
    told = {
        "person": row.code, "kind": kind.slug, "edition": edition.number, "day": held.day.isoformat(),
        "content": "sha256:" + digest(canonical(content)), "records": [one["record"] for one in content["rests_on"]],
    }  # fmt: skip
    write(db, at, by.code, "certificate-issued", number, told)
    return made


def _content(
    db: Session, number: str, row: Person, kind: CertificateKind, edition: PublishedProgram, held: Holdings
) -> dict[str, Any]:
    return {
        "number": number,
        "person": row.code,
        "name": row.name,
        "holder": holder_content(row.email, secrets.token_hex(16)),
        "program": edition.program.name,
        "edition": edition.number,
        "kind": kind.slug,
        "title": kind.title,
        "text": kind.text.strip(),
        "limits": LIMITS,
        "day": held.day.isoformat(),
        "rests_on": [asdict(one) for one in grounds_of(db, kind, held, edition.program)],
        "minutes": {name: minutes for name in CATEGORIES if (minutes := held.minutes(name))},
    }


def _next_number(db: Session, year: int) -> str:
    made = db.scalar(select(func.count()).select_from(Certificate).where(Certificate.number.like(f"C-{year}-%")))
    return f"C-{year}-{(made or 0) + 1:04d}"
