"""Certificates in doubt: valid ones whose evidence was voided, withdrawn or reckoned anew after they were issued.

Nothing is revoked by itself: whoever issues certificates is told, and decides.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.certificates.queries import Issued, issued_to
from mentor_training.certificates.rules import Standing, eligibility, fallen_words, fewer_words
from mentor_training.certificates.tables import Certificate
from mentor_training.clearance.dossier import Holdings
from mentor_training.clearance.queries import Gate, gate_at
from mentor_training.errors import NotFound
from mentor_training.evidence.corrections import effects
from mentor_training.program.editions import PublishedProgram


@dataclass(frozen=True)
class Doubt:
    """A valid certificate that what is known now does not bear out.

    `missing` is what its requirement lacks on its day; where it lacks nothing, what fell away is made up for by
    something else, and the certificate names the wrong records. `fallen` says what fell away.
    """

    issued: Issued
    missing: tuple[str, ...]
    fallen: tuple[str, ...]

    @property
    def is_borne_otherwise(self) -> bool:
        """Say whether its requirement holds all the same, so that it can be issued anew."""
        return not self.missing


def in_doubt(db: Session, people: Collection[str], on: date, known_at: datetime) -> list[Doubt]:
    """Return the doubts about the certificates of some people that are valid on a day, newest certificate first.

    One that was issued after the moment `known_at` is none yet.
    """
    issued = (one for one in issued_to(db, people) if one.certificate.issued_at <= known_at)
    valid = [one for one in issued if one.standing(on) is Standing.VALID]
    if not valid:
        return []
    gate = gate_at(db, known_at)
    if len(valid) > 1:
        gate.load_everybody()
    found = (_doubt(gate, one) for one in valid)
    return [one for one in found if one.missing or one.fallen]


def edition_of(db: Session, certificate: Certificate, known_at: datetime) -> PublishedProgram:
    """Return the edition of the program that a certificate was issued under."""
    return _edition(gate_at(db, known_at), certificate)


def held_under(gate: Gate, edition: PublishedProgram, certificate: Certificate) -> Holdings:
    """Return what a certificate's holder held on its day under an edition, by what is known now."""
    return Holdings(gate.dossier(certificate.person).history(edition), certificate.day)


def _edition(gate: Gate, certificate: Certificate) -> PublishedProgram:
    for one in gate.editions:
        if one.number == certificate.program_edition:
            return one
    raise NotFound(f"edition {certificate.program_edition} of the program")


def _doubt(gate: Gate, issued: Issued) -> Doubt:
    row = issued.certificate
    edition = _edition(gate, row)
    held = held_under(gate, edition, row)
    kind = edition.program.certificates[row.kind]
    missing = eligibility(kind.requires, held.holds, held.minutes, edition.program.title_of)
    return Doubt(issued, missing, (*_fallen_records(gate, row), *_fewer_minutes(held, row)))


def _fallen_records(gate: Gate, row: Certificate) -> tuple[str, ...]:
    effect = effects(gate.dossier(row.person).facts)
    return tuple(
        fallen_words(one["what"], one["record"], row.day)
        for one in row.content["rests_on"]
        if one["record"] and not effect.stands(one["record"], row.day)
    )


def _fewer_minutes(held: Holdings, row: Certificate) -> tuple[str, ...]:
    said = (fewer_words(name, stated, held.minutes(name)) for name, stated in row.content["minutes"].items())
    return tuple(one for one in said if one)
