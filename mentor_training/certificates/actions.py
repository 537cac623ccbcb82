"""Issuing certificates and revoking them; neither is ever changed afterwards."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from mentor_training.certificates.doubts import edition_of, held_under
from mentor_training.certificates.queries import (
    UNKNOWN_ASKED,
    certificate_for,
    grounds_of,
    kind_for,
    valid_number,
)
from mentor_training.certificates.rules import (
    CODE_LENGTH,
    LIMITS,
    SIGNS,
    WINDOW,
    eligibility,
    issue_faults,
    reissue_faults,
    revoke_faults,
)
from mentor_training.certificates.signing import holder_content
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.queries import gate_at, holdings_for
from mentor_training.database.session import run
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.corrections import months_later
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.journal.queries import head
from mentor_training.people.permissions import VOLUNTEER, Actor
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person, SignInTry
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
    faults = issue_faults(by, person, row.sections, missing, valid_number(db, person, kind, on))
    _refuse(faults)
    return _store(db, at, by, row, wanted, edition, holdings, on.year)


def revoke(db: Session, at: datetime, by: Actor, number: str, reason: str) -> Revocation:
    """Revoke a certificate, for a reason that stays with it; from now on verification says that it is withdrawn."""
    take_turn(db)
    found = certificate_for(db, by, number)
    _refuse(revoke_faults(by, found.certificate.person, number, reason, found.revocation is not None))
    return _withdraw(db, at, by, found.certificate, reason)


def reissue(db: Session, at: datetime, by: Actor, number: str, reason: str, on: date) -> Certificate:
    """Revoke a certificate, and issue it anew under another number for the day that it is of, in one step.

    For one that is right and wrongly written: it takes the name, the records and the minutes as they are known now, by
    the edition of the program that it was issued under. Refuses where that day's requirement does not hold any more.
    """
    take_turn(db)
    found = certificate_for(db, by, number)
    old = found.certificate
    _refuse(revoke_faults(by, old.person, number, reason, found.revocation is not None))
    edition = edition_of(db, old, at)
    kind = kind_for(edition.program, old.kind)
    held = held_under(gate_at(db, at), edition, old)
    missing = eligibility(kind.requires, held.holds, held.minutes, edition.program.title_of)
    _refuse(reissue_faults(number, found.standing(on), missing))
    _withdraw(db, at, by, old, reason)
    return _store(db, at, by, person_for(db, old.person), kind, edition, held, on.year, replaces=number)


def count_unknown(db: Session, at: datetime, client: str) -> None:
    """Count an answer that a certificate is unknown, and forget what was counted before it could matter."""
    run(db, delete(SignInTry).where(SignInTry.email == UNKNOWN_ASKED, SignInTry.moment <= at - WINDOW))
    db.add(SignInTry(email=UNKNOWN_ASKED, client=client[:64], moment=at, succeeded=False))


def _refuse(faults: Sequence[str]) -> None:
    if faults:
        raise Refused(*faults)


def _withdraw(db: Session, at: datetime, by: Actor, certificate: Certificate, reason: str) -> Revocation:
    number = certificate.number
    row = Revocation(certificate=number, moment=at, revoked_by=by.code, reason=reason.strip()[:500])
    db.add(row)
    db.flush()
    told = {"person": certificate.person, "reason": "sha256:" + digest(row.reason)}
    write(db, at, by.code, "certificate-revoked", number, told)
    return row


def _store(
    db: Session, at: datetime, by: Actor, row: Person, kind: CertificateKind, edition: PublishedProgram, held: Holdings,
    year: int, replaces: str = "",
) -> Certificate:  # fmt: skip
    number = _next_number(db, year)
    content = _content(db, number, row, kind, edition, held) | {"replaces": replaces}
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
    write(db, at, by.code, "certificate-issued", number, told | ({"replaces": replaces} if replaces else {}))
    return made


def _content(
    db: Session, number: str, row: Person, kind: CertificateKind, edition: PublishedProgram, held: Holdings
) -> dict[str, Any]:
    last_day = months_later(held.day, kind.good_for_months)
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
        "signed_by": kind.signed_by,
        "day": held.day.isoformat(),
        "last_day": last_day.isoformat() if last_day else "",
        "rests_on": [asdict(one) for one in grounds_of(db, kind, held, edition.program)],
        "minutes": {name: minutes for name in CATEGORIES if (minutes := held.minutes(name))},
    }


def _next_number(db: Session, year: int) -> str:
    made = db.scalar(select(func.count()).select_from(Certificate).where(Certificate.number.like(f"C-{year}-%")))
    return f"C-{year}-{(made or 0) + 1:04d}"
