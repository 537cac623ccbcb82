"""August: the first edition, everything moved in, and what the returning mentors bring from the spring."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy.orm import Session

from mentor_training.calendar import timetable
from mentor_training.calendar.actions import store_session, store_term
from mentor_training.calendar.terms import TermFact
from mentor_training.demo.cast import EVERY_RETURNING, PASSWORD, SPECIAL, Character, luck, read_participants
from mentor_training.demo.stage import Stage
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import ATTENDED, COMPLETED, HOURS, ON_FILE, READ_CARD, SIGNED_OFF
from mentor_training.observing.actions.standings import set_standing
from mentor_training.observing.rules.standing import ENTITLED, EVERY_SKILL
from mentor_training.participants import card_file
from mentor_training.participants.actions import import_cards, import_participants
from mentor_training.people.actions import accept_invitation, import_people, invite
from mentor_training.people.permissions import CONSOLE
from mentor_training.program.actions import publish
from mentor_training.program.queries import require_edition
from mentor_training.program.reading import collect_files

MOVED_IN = date(2026, 8, 10)
FIRST_EDITION = date(2026, 8, 15)
SPRING_SIGNED = date(2026, 4, 18)
SPRING_SESSIONS = 9
# Thanksgiving is on the Thursday of that week; that Saturday has no session.
FALL = TermFact(
    "fall-2026", "Fall 2026", date(2026, 8, 24), date(2026, 12, 18), (date(2026, 11, 26), date(2026, 11, 28))
)

MODULES = (
    "safety", "seizures", "communication", "behavior", "spotting", "form-cues", "screening", "transfers", "games",
    "confidentiality", "conduct",
)  # fmt: skip


def open_the_term(stage: Stage) -> None:
    """Put August on the agenda."""
    at = stage.moment
    stage.agenda.add(at(MOVED_IN, "09:00"), _publish, stage)
    stage.agenda.add(at(MOVED_IN, "09:10"), _move_in, stage)
    stage.agenda.add(at(MOVED_IN, "09:40"), _move_register_in, stage)
    stage.agenda.add(at(MOVED_IN, "10:30"), _make_observers, stage)
    for number, code in enumerate(sorted(stage.cast.people)):
        day = date(2026, 8, 11 + number % 4)
        stage.agenda.add(at(day, f"{9 + number % 8:02}:{number % 60:02}"), _invite, stage, code)


def _publish(db: Session, at: datetime, stage: Stage) -> None:
    settings = stage.instance.settings
    files, unreadable = collect_files(settings.program, settings.modules, settings.quizzes)
    publish(db, at, CONSOLE, stage.day(at), files, FIRST_EDITION, unreadable)


def _move_in(db: Session, at: datetime, stage: Stage) -> None:
    import_people(db, at, CONSOLE, list(stage.cast.rows), from_start=True)
    program = require_edition(db, FIRST_EDITION, at).program
    rows = read_participants(stage.example, set(program.needs), list(stage.cast.people))
    import_participants(db, at, CONSOLE, rows, stage.day(at), from_start=True)
    codes = frozenset(row.participant for row in rows)
    cards, faults = card_file.read_cards(_text(stage, "cards.csv"), codes, ())
    # What is written in October is written in October; here comes in what there is in August.
    import_cards(db, at, CONSOLE, [card for card in cards if card.first_day <= date(2026, 9, 30)], from_start=True)
    known = timetable.Known(
        frozenset(program.stations), codes, frozenset(stage.cast.characters), frozenset(stage.cast.observers)
    )
    sessions, more = timetable.read_sessions(_text(stage, "sessions.csv"), known)
    if faults or more:
        raise ValueError("; ".join(str(one) for one in (*faults, *more)))
    store_term(db, at, CONSOLE, FALL)
    for session in sessions:
        store_session(db, at, CONSOLE, session)


def _text(stage: Stage, name: str) -> str:
    return (stage.example / name).read_text(encoding="utf-8")


def _move_register_in(db: Session, at: datetime, stage: Stage) -> None:
    for one in stage.cast.returning:
        _bring_from_spring(db, at, one)
    # Ansa helped out on a few mornings in the spring and read what Imre's card said then.
    record(db, at, CONSOLE.code, "v-005", READ_CARD, "card/p-01@2", date(2026, 3, 7))


def _bring_from_spring(db: Session, at: datetime, one: Character) -> None:
    chance = luck("spring", one.code)
    bring = (db, at, CONSOLE.code, one.code)
    checked = date(2025, 9, chance.randint(1, 12))
    record(*bring, ON_FILE, "paper/background-check", checked)
    card = date(2025, chance.randint(2, 9), chance.randint(1, 28))
    record(*bring, ON_FILE, "paper/cpr-aed", card, card.replace(year=2027))
    for place, module in enumerate(MODULES):
        record(*bring, COMPLETED, f"module/{module}@1", date(2026, 1, 20 + place))
    special = [skill for skill, codes in SPECIAL.items() if one.code in codes]
    for skill in (*EVERY_RETURNING, *special):
        record(*bring, SIGNED_OFF, f"skill/{skill}", SPRING_SIGNED)
    for number in range(1, SPRING_SESSIONS + 1):
        record(*bring, ATTENDED, f"spring-{number:02}", date(2026, 1 + (number + 3) // 3, 1 + 7 * (number % 3)))
    record(*bring, HOURS, "direct", SPRING_SIGNED, note=str(60 * chance.randint(11, 15) + chance.randint(0, 59)))
    record(*bring, HOURS, "training", SPRING_SIGNED, note=str(60 * 5 + chance.randint(0, 59)))


def _make_observers(db: Session, at: datetime, stage: Stage) -> None:
    by = stage.cast.coordinator
    for code in stage.cast.observers:
        set_standing(db, at, by, code, ENTITLED, EVERY_SKILL, FIRST_EDITION)


def _invite(db: Session, at: datetime, stage: Stage, code: str) -> None:
    token = invite(db, at, stage.cast.coordinator, code)
    accept_invitation(db, at, token, PASSWORD, stage.instance.settings.minimum_length)
