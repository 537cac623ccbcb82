"""Looking participants up, as known at a moment; and the guarded door for those who are paired with them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.participants.rules import CardFact, ProfileFact, card_on, may_see, profile_on
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.program.catalog import Program, Station
from mentor_training.program.queries import known_editions


@dataclass(frozen=True)
class Summary:
    """What the list of participants shows of one: nothing about needs."""

    code: str
    first_name: str
    adaptation_level: int | None
    card: CardFact | None
    is_overdue: bool


@dataclass(frozen=True)
class MentorView:
    """What a paired mentor sees of a participant: first name, cautions, card; nothing else."""

    code: str
    first_name: str
    cautions: tuple[str, ...]
    card: CardFact | None


def participant_for(db: Session, code: str) -> Participant:
    """Return a participant by code."""
    row = db.get(Participant, code)
    if row is None:
        raise NotFound(f"participant {code}")
    return row


def participants(db: Session) -> list[Participant]:
    """Return all participants in the order of their codes."""
    return list(db.scalars(select(Participant).order_by(Participant.code)))


def first_names(db: Session) -> dict[str, str]:
    """Return the first name of every participant, by code."""
    return {row.code: row.first_name for row in participants(db)}


def known_needs(db: Session, known_at: datetime) -> set[str] | None:
    """Return the needs that any known edition defines, or None where none is published yet."""
    editions = known_editions(db, known_at)
    return {slug for edition in editions for slug in edition.program.needs} if editions else None


def profiles_known(db: Session, code: str, known_at: datetime) -> tuple[ProfileFact, ...]:
    """Return a participant's profiles known at a moment, in the order in which they were recorded."""
    return _profiles(db, (code,), known_at).get(code, ())


def _profiles(db: Session, codes: Iterable[str], known_at: datetime) -> dict[str, tuple[ProfileFact, ...]]:
    columns = (Profile.adaptation_level, Profile.needs, Profile.keep_apart, Profile.wishes, Profile.first_day)
    query = select(Profile.participant, *columns).where(
        Profile.participant.in_(tuple(codes)), or_(Profile.from_start, Profile.recorded_at <= known_at)
    )
    found: dict[str, tuple[ProfileFact, ...]] = {}
    for row in db.execute(query.order_by(Profile.id)):
        found[row.participant] = (*found.get(row.participant, ()), ProfileFact(*row[1:]))
    return found


def profile_in_force(db: Session, code: str, on: date, known_at: datetime) -> ProfileFact | None:
    """Return the profile in force on a day, as known at a moment."""
    return profile_on(profiles_known(db, code, known_at), on)


def profiles_in_force(db: Session, codes: Iterable[str], on: date, known_at: datetime) -> dict[str, ProfileFact]:
    """Return the profiles of some participants in force on a day, in the order given; who has none is left out."""
    wanted = tuple(codes)
    known = _profiles(db, wanted, known_at)
    found = {code: profile_on(known.get(code, ()), on) for code in wanted}
    return {code: profile for code, profile in found.items() if profile}


def cards_known(db: Session, known_at: datetime, code: str | None = None) -> tuple[CardFact, ...]:
    """Return card versions known at a moment, of one participant or of all, by participant and version."""
    query = select(Card).where(or_(Card.from_start, Card.recorded_at <= known_at))
    if code is not None:
        query = query.where(Card.participant == code)
    return tuple(as_fact(row) for row in db.scalars(query.order_by(Card.participant, Card.version)))


def card_in_force(db: Session, code: str, on: date, known_at: datetime) -> CardFact | None:
    """Return the card in force on a day, as known at a moment."""
    return card_on(cards_known(db, known_at, code), on)


def as_fact(row: Card) -> CardFact:
    """Return a row as a frozen fact."""
    return CardFact(row.participant, row.version, row.first_day, row.review_by, row.text)


def summaries(db: Session, on: date, known_at: datetime) -> list[Summary]:
    """Return the list of participants with their card in force and whether its review is overdue."""
    cards: dict[str, list[CardFact]] = {}
    for card in cards_known(db, known_at):
        cards.setdefault(card.participant, []).append(card)
    return [_summary(db, row, cards.get(row.code, ()), on, known_at) for row in participants(db)]


def _summary(db: Session, row: Participant, cards: Iterable[CardFact], on: date, known_at: datetime) -> Summary:
    card, profile = card_on(cards, on), profile_in_force(db, row.code, on, known_at)
    level = profile.adaptation_level if profile else None
    return Summary(row.code, row.first_name, level, card, bool(card and card.is_overdue(on)))


def mentor_view(
    db: Session, code: str, stations: Iterable[Station], session_days: Iterable[date], today: date, on: date,
    known_at: datetime, program: Program,
) -> MentorView:  # fmt: skip
    """Return what a paired mentor may see of a participant, or refuse to show anything.

    The door knows no plans: the caller passes in `session_days`, the days for which the two are paired, and the
    stations at which they will be together; only the cautions that apply there are shown. `on` is the session's day.
    """
    if not may_see(session_days, today):
        raise NotAllowed("a participant you are not paired with, or not yet: it opens two days before your session")
    row, places = participant_for(db, code), tuple(stations)
    profile = profile_in_force(db, code, on, known_at)
    needs = [program.needs[slug] for slug in (profile.needs if profile else ()) if slug in program.needs]
    applicable = [need for need in needs if any(need.applies_at(station) for station in places)]
    cautions = tuple(need.caution for need in applicable if need.caution)
    return MentorView(code, row.first_name, cautions, card_in_force(db, code, on, known_at))
