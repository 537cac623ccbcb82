"""What single step opens most for one volunteer: stations, and participants of the coming sessions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.queries import gate_at
from mentor_training.overview.rules import Expected, Step, next_steps
from mentor_training.participants.queries import cards_known, profiles_in_force
from mentor_training.participants.rules import CardFact, card_on
from mentor_training.program.catalog import Program


@dataclass(frozen=True)
class Steps:
    """One volunteer's steps on a day, under the edition in force, with the decisions that they rest on."""

    edition: int
    decisions: tuple[Decision, ...]
    steps: tuple[Step, ...]


def expected_ahead(db: Session, day: date, known_at: datetime, program: Program) -> tuple[Expected, ...]:
    """Return the participants expected at a session of this day or a later one, by code.

    Their needs, their keep-apart list and their card are those of the day asked about; the stations, without duties,
    those of all these sessions together.
    """
    stations: dict[str, dict[str, None]] = {}
    for session in sessions(db, since=day):
        here = [slug for slug in session.stations if slug in program.stations and not program.stations[slug].is_duty]
        for code in session.participants:
            stations.setdefault(code, {}).update(dict.fromkeys(here))
    overdue = _overdue(db, day, known_at)
    return tuple(
        Expected(profile.needs, profile.keep_apart, code in overdue, tuple(stations[code]))
        for code, profile in profiles_in_force(db, sorted(stations), day, known_at).items()
    )


def _overdue(db: Session, day: date, known_at: datetime) -> set[str]:
    cards: dict[str, list[CardFact]] = {}
    for card in cards_known(db, known_at):
        cards.setdefault(card.participant, []).append(card)
    in_force = {code: card_on(versions, day) for code, versions in cards.items()}
    return {code for code, card in in_force.items() if card and card.is_overdue(day)}


def steps_of(db: Session, person: str, day: date, known_at: datetime) -> Steps:
    """Return what would open most for one volunteer; refuses where no edition is in force."""
    gate = gate_at(db, known_at)
    edition = gate.edition(day)
    decisions: Sequence[Decision] = [gate.decide(person, slug, None, day) for slug in edition.program.stations]
    found = next_steps(decisions, expected_ahead(db, day, known_at, edition.program))
    return Steps(edition.number, tuple(decisions), found)
