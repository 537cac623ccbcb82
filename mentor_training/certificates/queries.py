"""Reading certificates, and who could be issued which."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.certificates.rules import Ground, Standing, eligibility, held_atoms, may_issue, standing
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.queries import gate_at
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.facts import COMPLETED, ON_FILE, SIGNED_OFF, WAIVED
from mentor_training.evidence.queries import record_for
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import person_for, volunteers
from mentor_training.people.tables import Person
from mentor_training.program.catalog import CertificateKind, Program
from mentor_training.program.queries import require_edition
from mentor_training.program.requirements import Hours, Item, Sessions

HOW = {COMPLETED: "completed", SIGNED_OFF: "signed off", ON_FILE: "on file", WAIVED: "waived, not shown"}


@dataclass(frozen=True)
class Issued:
    """A certificate with whether it was revoked, and why."""

    certificate: Certificate
    revocation: Revocation | None

    @property
    def standing(self) -> Standing:
        """Return valid or revoked."""
        return Standing.REVOKED if self.revocation else Standing.VALID


@dataclass(frozen=True)
class Candidate:
    """A volunteer and a kind of certificate: what is missing, and the one that is valid already."""

    person: str
    name: str
    kind: CertificateKind
    missing: tuple[str, ...]
    valid: str

    @property
    def ready(self) -> bool:
        """Say whether it could be issued now."""
        return not self.missing and not self.valid


def issued_to(db: Session, people: Iterable[str]) -> list[Issued]:
    """Return the certificates of some people, newest first."""
    query = (
        select(Certificate, Revocation)
        .outerjoin(Revocation, Revocation.certificate == Certificate.number)
        .where(Certificate.person.in_(tuple(people)))
        .order_by(Certificate.issued_at.desc(), Certificate.number.desc())
    )
    return [Issued(row, revocation) for row, revocation in db.execute(query)]


def valid_number(db: Session, person: str, kind: str) -> str:
    """Return the number of a volunteer's valid certificate of a kind, or an empty text."""
    found = (one for one in issued_to(db, (person,)) if one.certificate.kind == kind and not one.revocation)
    return next((one.certificate.number for one in found), "")


def kind_for(program: Program, slug: str) -> CertificateKind:
    """Return a kind of certificate by its slug."""
    if slug not in program.certificates:
        raise NotFound(f"certificate {slug!r} in the program; there are {', '.join(program.certificates) or 'none'}")
    return program.certificates[slug]


def certificate_for(db: Session, viewer: Actor, number: str) -> Issued:
    """Return a certificate that a viewer may see: one's own, or one that they could issue."""
    row = db.get(Certificate, number)
    if row is None:
        raise NotFound(f"certificate {number}")
    if viewer.code != row.person and not may_issue(viewer, person_for(db, row.person).sections):
        raise NotAllowed("another volunteer's certificate")
    return Issued(row, db.get(Revocation, number))


def in_force(issued: Issued) -> Certificate:
    """Return a certificate that was not revoked; a revoked one is not handed out any more."""
    if issued.revocation:
        number, day = issued.certificate.number, issued.revocation.moment
        raise Refused(f"{number} was revoked on {day:%Y-%m-%d}; it is not handed out any more.")
    return issued.certificate


def candidates(db: Session, people: Iterable[Person], on: date, known_at: datetime) -> list[Candidate]:
    """Return each volunteer with each kind of certificate, and what is missing on a day."""
    rows, gate = list(people), gate_at(db, known_at)
    program = gate.edition(on).program
    if len(rows) > 1:
        gate.load_everybody()
    valid = {
        (one.certificate.person, one.certificate.kind): one.certificate.number
        for one in issued_to(db, [row.code for row in rows])
        if not one.revocation
    }
    found = []
    for row in rows:
        holdings = Holdings(gate.dossier(row.code).history(gate.edition(on)), on)
        for kind in program.certificates.values():
            missing = eligibility(kind.requires, holdings.holds, holdings.minutes, program.title_of)
            found.append(Candidate(row.code, row.name, kind, missing, valid.get((row.code, kind.slug), "")))
    return found


def people_for(db: Session, viewer: Actor) -> list[Person]:
    """Return the volunteers to whom a viewer issues certificates."""
    return [row for row in volunteers(db) if may_issue(viewer, row.sections)]


def grounds_of(db: Session, kind: CertificateKind, holdings: Holdings, program: Program) -> tuple[Ground, ...]:
    """Return what a certificate rests on: each part of its requirement that holds, with the record by which it does."""
    return tuple(_ground(db, atom, holdings, program) for atom in held_atoms(kind.requires, holdings.holds))


def _ground(db: Session, atom: Item | Hours | Sessions, holdings: Holdings, program: Program) -> Ground:
    if isinstance(atom, Hours):
        return Ground(f"{atom.at_least:g} h of {atom.category}", f"{holdings.minutes(atom.category)} minutes approved")
    if isinstance(atom, Sessions):
        return Ground(f"{atom.at_least} sessions attended", "by check-in")
    code = holdings.record_of(atom.name) or ""
    row = record_for(db, code)
    return Ground(program.title_of(atom.name), HOW.get(row.kind, row.kind), code, row.first_day.isoformat())


def verify(db: Session, number: str, typed: str) -> Standing:
    """Say whether a certificate is valid, revoked or unknown, and nothing else about it."""
    row = db.get(Certificate, number.strip().upper())
    revoked = row is not None and db.get(Revocation, row.number) is not None
    return standing(row.verification_code if row else None, typed, revoked)


def program_on(db: Session, on: date, known_at: datetime) -> Program:
    """Return the program in force."""
    return require_edition(db, on, known_at).program
