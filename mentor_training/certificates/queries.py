"""Reading certificates, and who could be issued which."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.certificates.rules import (
    WINDOW,
    Ground,
    Standing,
    answered,
    asks_too_often,
    clean_number,
    eligibility,
    held_atoms,
    may_issue,
    standing,
)
from mentor_training.certificates.tables import Certificate, Revocation
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.queries import gate_at
from mentor_training.errors import NotAllowed, NotFound, Refused
from mentor_training.evidence.facts import COMPLETED, ON_FILE, SIGNED_OFF, WAIVED
from mentor_training.evidence.queries import record_for
from mentor_training.people.permissions import Actor
from mentor_training.people.queries import person_for, volunteers
from mentor_training.people.tables import Person, SignInTry
from mentor_training.program.catalog import CertificateKind, Program
from mentor_training.program.requirements import Hours, Item, Sessions

# What the tries of strangers who verify are counted under; no address to sign in with can be so written.
UNKNOWN_ASKED = "verify:unknown"
HOW = {COMPLETED: "completed", SIGNED_OFF: "signed off", ON_FILE: "on file", WAIVED: "waived, not shown"}


@dataclass(frozen=True)
class Issued:
    """A certificate with whether it was revoked, and why."""

    certificate: Certificate
    revocation: Revocation | None

    @property
    def last_day(self) -> date | None:
        """Return the last day on which it is valid, where its kind lapses."""
        return last_day_of(self.certificate.content)

    def standing(self, on: date) -> Standing:
        """Return how it stands on a day: valid, lapsed or withdrawn."""
        return standing(self.last_day, self.revocation is not None, on)


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


def last_day_of(content: Mapping[str, Any]) -> date | None:
    """Return the last day that stands on a certificate; one issued before there were any has none."""
    written = content.get("last_day")
    return date.fromisoformat(written) if written else None


def issued_to(db: Session, people: Iterable[str]) -> list[Issued]:
    """Return the certificates of some people, newest first."""
    query = (
        select(Certificate, Revocation)
        .outerjoin(Revocation, Revocation.certificate == Certificate.number)
        .where(Certificate.person.in_(tuple(people)))
        .order_by(Certificate.issued_at.desc(), Certificate.number.desc())
    )
    return [Issued(row, revocation) for row, revocation in db.execute(query)]


def valid_number(db: Session, person: str, kind: str, on: date) -> str:
    """Return the number of a volunteer's certificate of a kind that is valid on a day, or an empty text."""
    found = (one for one in issued_to(db, (person,)) if one.certificate.kind == kind)
    return next((one.certificate.number for one in found if one.standing(on) is Standing.VALID), "")


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
        if one.standing(on) is Standing.VALID
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


def people_of(db: Session, viewer: Actor, section: str = "") -> list[Person]:
    """Return the volunteers of a section to whom a viewer issues certificates; with no section, of all of them."""
    found = [row for row in people_for(db, viewer) if section in ("", *row.sections)]
    if section and not found:
        raise NotFound(f"volunteer of section {section} to whom you issue certificates")
    return found


def sections_of(people: Iterable[Person]) -> list[str]:
    """Return the sections that some people are in, in the order of their names."""
    return sorted({section for row in people for section in row.sections})


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


def verify(db: Session, number: str, typed: str, on: date) -> Standing:
    """Say whether a certificate is valid, lapsed, withdrawn or unknown, and nothing else about it."""
    row = db.get(Certificate, clean_number(number))
    if row is None:
        return answered(None, typed, Standing.UNKNOWN)
    issued = Issued(row, db.get(Revocation, row.number))
    return answered(row.verification_code, typed, issued.standing(on))


def asked_too_often(db: Session, at: datetime, client: str) -> bool:
    """Say whether a client who verifies has to wait; `at` is the machine's or the program's clock, as was counted."""
    query = select(SignInTry.moment).where(
        SignInTry.email == UNKNOWN_ASKED, SignInTry.client == client[:64], SignInTry.moment > at - WINDOW
    )
    return asks_too_often(db.scalars(query), at)
