"""Asking for clearance: gathers what is known, and asks the rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.clearance.answers import Answer, answers
from mentor_training.clearance.comparison import Change, PairChanges, changes, pair_changes
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.dossier import CardFrom, Dossier, Holdings, ParticipantFile, ProfileFrom
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.lasting import Lasting
from mentor_training.clearance.matrix import Matrix
from mentor_training.clearance.memory import dossiers_known, everybody_known
from mentor_training.clearance.need_changes import days_for_stations
from mentor_training.clearance.rules import decide
from mentor_training.clearance.sheaves import Sheaves
from mentor_training.errors import NotFound, Refused
from mentor_training.evidence.queries import facts_of
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
    _has_everybody: bool = False
    _matrix: Matrix | None = None

    def load_everybody(self) -> None:
        """Read all volunteers' records in one go, where many decisions will be asked for."""
        self._dossiers.update(dossiers_known(self.db, self.editions, self.known_at))
        self._has_everybody = True

    def load_participants(self) -> None:
        """Read what is known of all participants in one go."""
        self._participants.update(participant_files(self.db, self.known_at))

    def dossier(self, person: str) -> Dossier:
        """Return one volunteer's dossier."""
        if person not in self._dossiers:
            facts = () if self._has_everybody else facts_of(self.db, person, self.known_at)
            self._dossiers[person] = Dossier(person, facts, self.editions)
        return self._dossiers[person]

    def matrix(self, people: Iterable[str]) -> Matrix:
        """Return everyone at once, with a place for each of these people; for one alone only that one is read."""
        asked = tuple(people)
        if len(asked) == 1:
            return Matrix(Everybody(Sheaves(()), {one: self.dossier(one) for one in asked}, self.editions))
        if self._matrix is None or not self._matrix.everybody.places.keys() >= set(asked):
            self._matrix = Matrix(self.everybody(asked))
        return self._matrix

    def everybody(self, people: Iterable[str]) -> Everybody:
        """Return everybody's tracks, with a place for each of these people."""
        return everybody_known(self.db, self.editions, self.known_at, people)

    def participant(self, code: str) -> ParticipantFile:
        """Return what is known of one participant."""
        if code not in self._participants:
            self._participants[code] = participant_file(self.db, code, self.known_at)
        return self._participants[code]

    def answers(
        self, people: Sequence[str], stations: Sequence[str], participants: Sequence[str | None], on: date
    ) -> Iterator[Answer]:
        """Yield the answer for each volunteer, station and participant on a day, in this order, from the matrix."""
        self.edition(on)
        if len(participants) > 1:
            self.load_participants()
        files = [self.participant(code) if code else None for code in participants]
        return answers(self.matrix(people), people, stations, files, on) if people else iter(())

    def levels(
        self, people: Sequence[str], stations: Iterable[str], on: date, until: date
    ) -> list[list[tuple[int, date | None]]]:
        """Return, for each volunteer and station, the level on a day, and its last day where that is before another."""
        matrix = self.matrix(people)
        lasting, places = Lasting(matrix, on, until), [matrix.everybody.places[code] for code in people]
        columns = [(matrix.column(slug, None, on).levels(), lasting.last_days(slug)) for slug in stations]
        return [[(int(levels[place]), last_days[place]) for levels, last_days in columns] for place in places]

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
    found = _participant_files(db, known_at, code)
    if code not in found:
        raise NotFound(f"participant {code} known by then")
    return found[code]


def participant_files(db: Session, known_at: datetime) -> dict[str, ParticipantFile]:
    """Return the profiles and cards of all participants known at a moment, in the order of their codes."""
    return _participant_files(db, known_at)


def _participant_files(db: Session, known_at: datetime, code: str | None = None) -> dict[str, ParticipantFile]:
    profiles = select(Profile.participant, Profile.first_day, Profile.needs, Profile.keep_apart).where(
        Profile.from_start | (Profile.recorded_at <= known_at)
    )
    cards = select(Card.participant, Card.version, Card.first_day, Card.review_by).where(
        Card.from_start | (Card.recorded_at <= known_at)
    )
    if code is not None:
        profiles, cards = profiles.where(Profile.participant == code), cards.where(Card.participant == code)
    profiles_of: dict[str, list[ProfileFrom]] = {}
    for participant, first_day, needs, keep_apart in db.execute(profiles.order_by(Profile.id)):
        profiles_of.setdefault(participant, []).append(ProfileFrom(first_day, needs, keep_apart))
    cards_of: dict[str, list[CardFrom]] = {}
    for participant, version, first_day, review_by in db.execute(cards.order_by(Card.version)):
        cards_of.setdefault(participant, []).append(CardFrom(version, first_day, review_by))
    return {
        one: ParticipantFile(one, tuple(profiles_of[one]), tuple(cards_of.get(one, ()))) for one in sorted(profiles_of)
    }


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

    Asked on every day on which it can make a difference, however far ahead.
    """
    gate = gate_at(db, known_at)
    people = [row.code for row in volunteers(db)]
    proposed, everybody = _proposed(gate, files, program, effective), gate.everybody(people)
    return list(changes(everybody, people, proposed, days_for_stations(everybody, people, proposed)))


def compare_pairs(
    db: Session, files: Mapping[str, str], program: Program, effective: date, known_at: datetime
) -> list[PairChanges]:
    """Return at how many stations with how many participants each volunteer would gain and lose.

    Asked on the day itself, on the day on which the grace of modules that must be retaken is over, and on the days of
    the sessions after it.
    """
    gate = gate_at(db, known_at)
    people = [row.code for row in volunteers(db)]
    proposed, days = _proposed(gate, files, program, effective), _days_that_matter(db, program, effective)
    files_of_all = participant_files(db, known_at).values()
    return list(pair_changes(gate.everybody(people), people, files_of_all, proposed, days))


def _proposed(gate: Gate, files: Mapping[str, str], program: Program, effective: date) -> PublishedProgram:
    number = max((edition.number for edition in gate.editions), default=0) + 1
    return PublishedProgram(number, effective, gate.known_at, content_hash(files), program)


def _days_that_matter(db: Session, program: Program, effective: date) -> set[date]:
    """Return the days on which the grace of modules that must be retaken is over, and those of the sessions after."""
    graces = {
        effective + timedelta(days=module.grace_days + 1) for module in program.modules.values() if module.must_retake
    }
    return graces | set(db.scalars(select(ProgramSession.day).where(ProgramSession.day >= effective)))
