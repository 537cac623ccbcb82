"""The last days before the demo day: a card rewritten, the session of Saturday planned, a certificate issued."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.calendar.availability import CANNOT, SESSION
from mentor_training.calendar.queries import session_for
from mentor_training.certificates.actions import issue
from mentor_training.demo.stage import Stage
from mentor_training.demo.story.cards import hand_more_cards
from mentor_training.demo.story.exceptions import must_refuse
from mentor_training.participants import card_file
from mentor_training.participants.actions import add_card
from mentor_training.participants.queries import cards_known, first_names
from mentor_training.participants.rules import CardFact
from mentor_training.planning.actions.saying import attend, say_when
from mentor_training.planning.actions.sessions import save_session

CALLED_OFF = "p-24"
NEXT, EXAMINED, LATE = "s-12", "v-009", "p-05"
CERTIFIED, CERTIFICATE = "v-001", "balance-lane-mentor"


def come_to_the_demo_day(stage: Stage) -> None:
    """Put the last days on the agenda; the session itself is prepared like every other."""
    at, add = stage.moment, stage.agenda.add
    add(at(date(2026, 10, 14), "14:00"), _rewrite_cards, stage)
    add(at(date(2026, 10, 15), "11:20"), _call_off, stage)
    add(at(date(2026, 10, 15), "18:05"), _cannot_come, stage)
    for clock in ("09:00", "13:00"):
        add(at(date(2026, 10, 16), clock), hand_more_cards, stage, "s-11")
    add(at(date(2026, 10, 16), "16:30"), _certify, stage)


def _rewrite_cards(db: Session, at: datetime, stage: Stage) -> None:
    """Write the versions of cards that the summer did not know of yet; from then on they are to be read anew."""
    text = (stage.example / "cards.csv").read_text(encoding="utf-8")
    cards, _ = card_file.read_cards(text, first_names(db), ())
    known = {(card.participant, card.version) for card in cards_known(db, at)}
    for card in cards:
        if (card.participant, card.version) not in known:
            _write(db, at, stage, card)


def _write(db: Session, at: datetime, stage: Stage, card: CardFact) -> None:
    add_card(db, at, stage.cast.coordinator, card)


def _call_off(db: Session, at: datetime, stage: Stage) -> None:
    """Bram's family is away that weekend; he is no longer expected on the demo day."""
    session = session_for(db, "s-11")
    still = tuple(code for code in session.participants if code != CALLED_OFF)
    save_session(db, at, stage.cast.coordinator, replace(session, participants=still))


def _cannot_come(db: Session, at: datetime, stage: Stage) -> None:
    """A volunteer has an examination on the Tuesday after; a participant comes late to that session."""
    say_when(db, at, stage.cast.people[EXAMINED], EXAMINED, SESSION, NEXT, CANNOT, stage.day(at))
    blocks = {block.number for block in session_for(db, NEXT).blocks}
    attend(db, at, stage.cast.coordinator, NEXT, {LATE: blocks - {1}}, seen=0)


def _certify(db: Session, at: datetime, stage: Stage) -> None:
    by, day = stage.cast.approver_of(CERTIFIED), stage.day(at)
    must_refuse(lambda: issue(db, at, by, "v-003", CERTIFICATE, day), "Guarding a balance task")
    issue(db, at, by, CERTIFIED, CERTIFICATE, day)
