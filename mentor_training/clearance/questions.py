"""Gathering the answers to the questions that people ask about clearance."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.hindsight import Hindsight, Known, look_back
from mentor_training.clearance.lapses import Lapse, lapses
from mentor_training.clearance.queries import Gate, volunteers_known
from mentor_training.errors import NotFound
from mentor_training.people.queries import volunteers
from mentor_training.program.editions import in_force

DAYS_AHEAD = 90


@dataclass(frozen=True)
class LapseAhead:
    """A lapse, and the first session on its day or after it: the one before which something has to be done."""

    lapse: Lapse
    session: SessionFact | None

    @property
    def is_expected(self) -> bool:
        """Say whether the volunteer is expected at that session."""
        return self.session is not None and self.lapse.person in self.session.volunteers


def lapses_ahead(
    db: Session,
    gate: Gate,
    people: Sequence[str],
    stations: Iterable[str],
    participant: str | None,
    on: date,
    days: int,
) -> tuple[LapseAhead, ...]:
    """Return the lapses of some volunteers at some stations in the days after a day, the earliest first.

    Those of one day stand in the order of the volunteers, then of the stations.
    """
    if len(people) > 1:
        gate.load_everybody()
    file = gate.participant(participant) if participant else None
    places = tuple(stations)
    found = [one for person in people for one in lapses(gate.dossier(person), places, file, on, days)]
    coming = sessions(db, since=on)
    return tuple(
        LapseAhead(one, next((session for session in coming if session.day >= one.day), None))
        for one in sorted(found, key=lambda lapse: lapse.day)
    )


def stations_asked(gate: Gate, on: date, station: str | None) -> tuple[str, ...]:
    """Return the station asked about, or all of the edition in force; an unknown one is not found."""
    known = gate.edition(on).program.stations
    if station is not None and station not in known:
        raise NotFound(f"station {station}; there are {', '.join(known)}")
    return (station,) if station is not None else tuple(known)


def stations_ahead(gate: Gate, on: date, days: int, station: str | None) -> tuple[str, ...]:
    """Return the station asked about, or all that an edition in force in the coming days has."""
    if station is not None:
        return stations_asked(gate, on, station)
    last = on + timedelta(days=days)
    begun = (edition.program.stations for edition in gate.editions if edition.effective <= last)
    return tuple(dict.fromkeys((*stations_asked(gate, on, None), *(slug for stations in begun for slug in stations))))


def people_asked(db: Session, known_at: datetime, section: str | None, person: str | None) -> list[str]:
    """Return the codes of the volunteers known at a moment; of one section or only one of them where that is asked."""
    known = volunteers_known(db, known_at)
    if person is not None and person not in known:
        raise NotFound(f"volunteer {person} known by then")
    if section is None:
        return [person] if person is not None else known
    inside = {row.code for row in volunteers(db) if section in row.sections}
    if not inside:
        sections = sorted({one for row in volunteers(db) for one in row.sections})
        raise NotFound(f"section {section}; there are {', '.join(sections) or 'none'}")
    return [code for code in known if code in inside and person in (None, code)]


@dataclass(frozen=True)
class TwoGates:
    """What was known at a moment, and what is known now."""

    then: Gate
    now: Gate

    def load_everybody(self) -> None:
        """Read all volunteers' records in one go."""
        self.then.load_everybody()
        self.now.load_everybody()

    def look_back(self, person: str, station: str, participant: str | None, on: date) -> Hindsight:
        """Compare one volunteer's level on a day as known then and as known now."""
        return look_back(station, on, _known(self.then, person, participant), _known(self.now, person, participant))

    def stations(self, on: date) -> tuple[str, ...]:
        """Return the stations of the editions in force on a day, as known then and as known now."""
        found = (in_force(gate.editions, on) for gate in (self.now, self.then))
        return tuple(dict.fromkeys(slug for edition in found if edition for slug in edition.program.stations))

    def titles(self, stations: Iterable[str], on: date) -> dict[str, str]:
        """Return how stations are called on a day, as known now; its slug stands for one that is unknown then."""
        edition = in_force(self.now.editions, on)
        known = edition.program.stations if edition else {}
        return {slug: known[slug].title if slug in known else slug for slug in stations}


def _known(gate: Gate, person: str, participant: str | None) -> Known:
    file = None
    if participant:
        try:
            file = gate.participant(participant)
        except NotFound:
            # Nobody had heard of them by then.
            file = ParticipantFile(participant, (), ())
    return Known(gate.dossier(person), file)
