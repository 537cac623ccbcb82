"""Taking participants and their cards in, each change dated; looking at needs, which is written down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, Refused
from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import canonical, digest
from mentor_training.participants.card_file import plain_lines
from mentor_training.participants.queries import cards_known, participant_for, profile_in_force
from mentor_training.participants.roster import Row
from mentor_training.participants.rules import CardFact, ProfileFact, card_faults
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.people.permissions import Act, Actor

WORDS = {"text": "What a mentor does", "review_by": "Review by", "first_day": "In force from"}


def enroll_participant(db: Session, at: datetime, by: Actor, row: Row, today: date, from_start: bool) -> bool:
    """Add a participant or a new profile of one; return whether anything changed.

    A profile is never overwritten: the new one counts from the day it is recorded, or, while the instance is still
    being moved in, from the beginning.
    """
    found = db.get(Participant, row.participant)
    old = profile_in_force(db, row.participant, today, at)
    new = ProfileFact(row.adaptation_level, row.needs, row.keep_apart, row.wishes, None if from_start else today)
    changed = old is None or replace(old, first_day=new.first_day) != new
    if found and found.first_name == row.first_name and not changed:
        return False
    if found is None:
        db.add(Participant(code=row.participant, first_name=row.first_name))
        db.flush()
    else:
        found.first_name = row.first_name
    if changed:
        stamp = {"recorded_at": at, "recorded_by": by.code, "from_start": from_start}
        db.add(Profile(participant=row.participant, **asdict(new), **stamp))
    db.flush()
    write(db, at, by.code, "participant", row.participant, _profile_for_journal(row, new))
    return True


def _profile_for_journal(row: Row, profile: ProfileFact) -> dict[str, str | None]:
    """Only a hash: what a participant needs is not for everybody who reads the journal."""
    words = {key: list(value) if isinstance(value, tuple) else value for key, value in asdict(row).items()}
    first_day = profile.first_day.isoformat() if profile.first_day else None
    return {"first_day": first_day, "profile": "sha256:" + digest(canonical(words))}


def import_participants(
    db: Session, at: datetime, by: Actor, rows: Iterable[Row], today: date, from_start: bool
) -> int:
    """Take a checked file in; return how many rows changed something."""
    take_turn(db)
    return sum(enroll_participant(db, at, by, row, today, from_start) for row in rows)


def import_cards(db: Session, at: datetime, by: Actor, cards: Iterable[CardFact], from_start: bool) -> int:
    """Take checked card versions in; return how many were new."""
    take_turn(db)
    return sum(add_card(db, at, by, card, from_start) for card in cards)


def add_card(db: Session, at: datetime, by: Actor, card: CardFact, from_start: bool = False) -> bool:
    """Store a card version; return whether it is new. A version that is there already never changes."""
    participant_for(db, card.participant)
    stored = cards_known(db, at, card.participant)
    same = next((one for one in stored if one.version == card.version), None)
    if same == card:
        return False
    if same:
        raise Refused(f"Version {card.version} is there already and says something else; write a new version.")
    faults = card_faults(card, stored)
    if faults:
        raise Refused(*(f"{WORDS[fault.detail]}: {fault.what}." for fault in faults))
    db.add(Card(**asdict(card), recorded_at=at, recorded_by=by.code, from_start=from_start))
    db.flush()
    write(db, at, by.code, "card", card.participant, _card_for_journal(card))
    return True


def write_card(
    db: Session, at: datetime, by: Actor, participant: str, after: int, first_day: date, review_by: date, text: str
) -> CardFact:
    """Write the next version of a card; `after` is the version that was seen as the newest when it was written."""
    take_turn(db)
    newest = max((card.version for card in cards_known(db, at, participant)), default=0)
    if newest != after:
        raise Refused(f"Version {newest} has been written meanwhile. Read it, then write the next one on top of it.")
    card = CardFact(participant, newest + 1, first_day, review_by, plain_lines(text))
    add_card(db, at, by, card)
    return card


def look(db: Session, at: datetime, by: Actor, participant: str, what: str = "needs") -> Participant:
    """Open what is known of a participant to the coordinator; each look at a participant's needs is journaled."""
    if not by.may(Act.SEE_PARTICIPANTS):
        raise NotAllowed("a participant's needs")
    row = participant_for(db, participant)
    write(db, at, by.code, "looked", participant, {"at": what})
    return row


def note_export(db: Session, at: datetime, by: Actor, what: str) -> None:
    """Write down that all participants' needs or cards were written out: a look at every one of them."""
    write(db, at, by.code, "looked", "participants", {"at": what})


def _card_for_journal(card: CardFact) -> dict[str, str | int]:
    return {
        "version": card.version,
        "first_day": card.first_day.isoformat(),
        "review_by": card.review_by.isoformat(),
        "text": "sha256:" + digest(card.text),
    }
