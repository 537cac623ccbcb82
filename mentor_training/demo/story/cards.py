"""Participants' cards handed over two days before a session, and read; nobody is paired before they have read one."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.clearance.queries import Gate, gate_at
from mentor_training.demo.cast import Character, luck
from mentor_training.demo.stage import Stage
from mentor_training.planning.actions.cards import hand_card, read_card
from mentor_training.planning.gaps import REVIEW_OVERDUE
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.plan import Plan, gaps_of, only_the_card, plan_for, with_more
from mentor_training.planning.solver.search import best_plan
from mentor_training.program.requirements import Item, is_met

# How many participants a volunteer comes to know this term; those who wish for them come on top.
CIRCLE = 3
ASKED_MORE = 4
ALWAYS = {
    "v-001": ("p-01", "p-02", "p-24", "p-11"),
    "v-002": ("p-01", "p-02", "p-24", "p-10"),
    "v-003": ("p-01", "p-02", "p-11", "p-24"),
    "v-004": ("p-01", "p-02", "p-13", "p-17"),
    "v-005": ("p-02", "p-11", "p-24"),
}
# Ansa knows only what Imre's card said in the spring.
NEVER = {("v-005", "p-01")}


def hand_cards(db: Session, at: datetime, stage: Stage, code: str, wishes: dict[str, tuple[str, ...]]) -> None:
    """Hand out the cards that are still to be read for a session, and let them be read during the evening."""
    session = session_for(db, code)
    gate = gate_at(db, at)
    gate.load_everybody()
    moment = at
    for volunteer in session.volunteers:
        if not may_come(gate, volunteer, session.day):
            continue
        who = stage.cast.characters[volunteer]
        for participant in circle(who, wishes):
            version = _unread(gate, volunteer, participant, session.day) if participant in session.participants else 0
            if version:
                moment += timedelta(seconds=20)
                hand_card(db, at, stage.cast.coordinator, code, participant, volunteer)
                _read_later(stage, moment + timedelta(minutes=15), who, participant, version)


def hand_more_cards(db: Session, at: datetime, stage: Stage, code: str) -> None:
    """Look at what a proposal would leave open, and hand those cards to whom nothing but the card is in the way."""
    plan = plan_for(db, code, at)
    plan.gate.load_everybody()
    proposed = best_plan(question_of(db, plan, at))
    gaps = gaps_of(with_more(plan, proposed.added))
    open_ones = {gap.participant for gap in gaps if gap.cause != REVIEW_OVERDUE}
    moment = at
    for participant in sorted(open_ones):
        for volunteer in _ready_but_for_the_card(plan, participant)[:ASKED_MORE]:
            moment += timedelta(minutes=1)
            who, version = (
                stage.cast.characters[volunteer],
                _unread(plan.gate, volunteer, participant, plan.session.day),
            )
            hand_card(db, at, stage.cast.coordinator, code, participant, volunteer)
            _read_later(stage, moment + timedelta(hours=1), who, participant, version)


def _ready_but_for_the_card(plan: Plan, participant: str) -> list[str]:
    """Return the volunteers whom only the card keeps from a participant, those who are cleared highest first."""
    found = [
        (-plan.level_of(who, slug, None), who)
        for who in plan.floor.volunteers
        for slug in plan.floor.places
        if plan.level_of(who, slug, None) and only_the_card(plan.decide(who, slug, participant))
    ]
    return list(dict.fromkeys(who for _, who in sorted(found)))


def _read_later(stage: Stage, moment: datetime, who: Character, participant: str, version: int) -> None:
    stage.agenda.add(moment, read_card, who.actor, participant, version, stage.zone)


def circle(who: Character, wishes: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Return the participants whose cards a volunteer is given over the term."""
    everybody = sorted(wishes)
    wished = [code for code in everybody if who.code in wishes[code]]
    many = 8 if who.is_returning else CIRCLE
    drawn = luck("circle", who.code).sample(everybody, many)
    found = dict.fromkeys((*ALWAYS.get(who.code, ()), *wished, *drawn))
    return tuple(code for code in found if (who.code, code) not in NEVER)


def may_come(gate: Gate, volunteer: str, day: date) -> bool:
    """Say whether a volunteer may be on the floor at all: the entry is met, and no stand-down of everything holds."""
    holdings = gate.dossier(volunteer).holdings(day)
    if holdings is None or any(not pause.scope and pause.covers(day) for pause in holdings.history.pauses):
        return False
    return is_met(gate.edition(day).program.entry, holdings.holds)


def _unread(gate: Gate, volunteer: str, participant: str, day: date) -> int:
    """Return the version of a card that is in force and that a volunteer has not read yet; 0 where there is none."""
    card = gate.participant(participant).card_on(day)
    holdings = gate.dossier(volunteer).holdings(day)
    if card is None or holdings is None or holdings.holds(Item(f"card/{participant}@{card.version}")):
        return 0
    return card.version
