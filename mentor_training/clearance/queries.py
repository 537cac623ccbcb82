"""Asking for clearance: gathers what is known, and asks the rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.clearance.comparison import Change, changes
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.dossier import CardFrom, Dossier, Holdings, ParticipantFile, ProfileFrom
from mentor_training.clearance.rules import decide
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.queries import facts_by_person, facts_of
from mentor_training.participants.tables import Card, Participant, Profile
from mentor_training.people.permissions import COORDINATOR, OBSERVER, VOLUNTEER, Actor
from mentor_training.people.queries import roles_once_held, volunteers
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram, content_hash, in_force
from mentor_training.program.queries import known_editions


@dataclass
class Gate:
    """What is known at a moment, gathered once, for as many decisions as are asked for.

    It answers from what it has read: make a new one after something was recorded.
    """

    db: Session
    known_at: datetime
    editions: tuple[PublishedProgram, ...]
    _dossiers: dict[str, Dossier] = field(default_factory=dict)
    _participants: dict[str, ParticipantFile] = field(default_factory=dict)

    def load_everybody(self) -> None:
        """Read all volunteers' records in one go, where many decisions will be asked for."""
        for person, facts in facts_by_person(self.db, self.known_at).items():
            self._dossiers[person] = Dossier(person, facts, self.editions)

    def dossier(self, person: str) -> Dossier:
        """Return one volunteer's dossier."""
        if person not in self._dossiers:
            self._dossiers[person] = Dossier(person, facts_of(self.db, person, self.known_at), self.editions)
        return self._dossiers[person]

    def participant(self, code: str) -> ParticipantFile:
        """Return what is known of one participant."""
        if code not in self._participants:
            self._participants[code] = participant_file(self.db, code, self.known_at)
        return self._participants[code]

    def edition(self, on: date) -> PublishedProgram:
        """Return the edition in force on a day, or refuse and say what to do."""
        found = in_force(self.editions, on)
        if found is None:
            raise Refused(f"No edition of the program is in force on {on}; the coordinator publishes one first.")
        return found

    def decide(self, person: str, station: str, participant: str | None, on: date) -> Decision:
        """Decide for one volunteer at a station, with a participant where one is named, on a day."""
        self.edition(on)
        file = self.participant(participant) if participant else None
        return decide(self.dossier(person), station, file, on)


def gate_at(db: Session, known_at: datetime) -> Gate:
    """Open the gate as known at a moment."""
    return Gate(db, known_at, known_editions(db, known_at))


def decide_for(
    db: Session, person: str, station: str, participant: str | None, on: date, known_at: datetime
) -> Decision:
    """Decide once; for many decisions at one moment use `gate_at`."""
    return gate_at(db, known_at).decide(person, station, participant, on)


def holdings_for(db: Session, person: str, on: date, known_at: datetime) -> Holdings:
    """Return what one volunteer holds on a day."""
    gate = gate_at(db, known_at)
    return Holdings(gate.dossier(person).history(gate.edition(on)), on)


def participant_file(db: Session, code: str, known_at: datetime) -> ParticipantFile:
    """Return a participant's profiles and cards known at a moment."""
    if db.get(Participant, code) is None:
        raise NotFound(f"participant {code}")
    profiles = db.scalars(select(Profile).where(Profile.participant == code).order_by(Profile.id))
    cards = db.scalars(select(Card).where(Card.participant == code).order_by(Card.version))
    known = tuple(
        ProfileFrom(row.first_day, row.needs, row.keep_apart)
        for row in profiles
        if row.from_start or row.recorded_at <= known_at
    )
    if not known:
        raise NotFound(f"participant {code} known by then")
    versions = tuple(
        CardFrom(row.version, row.first_day, row.review_by)
        for row in cards
        if row.from_start or row.recorded_at <= known_at
    )
    return ParticipantFile(code, known, versions)


def participants_known(db: Session, known_at: datetime) -> list[str]:
    """Return the codes of the participants known at a moment, in their order."""
    known = select(Profile.participant).where(Profile.from_start | (Profile.recorded_at <= known_at))
    return sorted(set(db.scalars(known)))


def volunteers_known(db: Session, known_at: datetime) -> list[str]:
    """Return the codes of those who were volunteers at a moment.

    Somebody who has another role today was still cleared, or not, for what they did: the journal remembers.
    """
    enrolled = {row.code for row in volunteers(db) if row.from_start or row.recorded_at <= known_at}
    return sorted(enrolled | roles_once_held(db, VOLUNTEER, known_at))


def visible_volunteers(db: Session, viewer: Actor) -> list[Person]:
    """Return the volunteers a viewer may look at: the coordinator all, an observer those of the own sessions, a
    volunteer oneself.
    """
    everybody = volunteers(db)
    if COORDINATOR in viewer.roles:
        return everybody
    seen = {viewer.code} | _of_own_sessions(db, viewer)
    return [row for row in everybody if row.code in seen]


def visible_volunteer(db: Session, viewer: Actor, code: str) -> Person:
    """Return one volunteer that a viewer may look at; for anybody else there is none of that code."""
    for row in visible_volunteers(db, viewer):
        if row.code == code:
            return row
    raise NotFound(f"volunteer {code} among those you may see")


def _of_own_sessions(db: Session, viewer: Actor) -> set[str]:
    if OBSERVER not in viewer.roles:
        return set()
    own = select(Expected.session).where(Expected.kind == "observer", Expected.code == viewer.code)
    return set(db.scalars(select(Expected.code).where(Expected.kind == "volunteer", Expected.session.in_(own))))


def next_session_day(db: Session, after: date) -> date | None:
    """Return the day of the first session on or after a day."""
    return db.scalar(select(func.min(ProgramSession.day)).where(ProgramSession.day >= after))


def compare_files(
    db: Session, files: Mapping[str, str], program: Program, effective: date, known_at: datetime
) -> list[Change]:
    """Return who would gain and who would lose, where and from which day, if these files took effect on a day.

    Asked on the day itself, on the day on which the grace of modules that must be retaken is over, and on the days of
    the sessions after it.
    """
    gate = gate_at(db, known_at)
    gate.load_everybody()
    number = max((edition.number for edition in gate.editions), default=0) + 1
    proposed = PublishedProgram(number, effective, known_at, content_hash(files), program)
    graces = {
        effective + timedelta(days=module.grace_days + 1) for module in program.modules.values() if module.must_retake
    }
    sessions = set(db.scalars(select(ProgramSession.day).where(ProgramSession.day >= effective)))
    dossiers = [gate.dossier(row.code) for row in volunteers(db)]
    return list(changes(dossiers, proposed, graces | sessions))
