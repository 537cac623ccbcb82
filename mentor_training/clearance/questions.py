"""Gathering the answers to the questions that people ask about clearance."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.answers import Answer
from mentor_training.clearance.bitmaps import bitmap
from mentor_training.clearance.dossier import ParticipantFile
from mentor_training.clearance.hindsight import Hindsight, Known, look_back
from mentor_training.clearance.lapses import Lapse, lapses_of_all
from mentor_training.clearance.lasting import Lasting
from mentor_training.clearance.need_changes import NeedChange, need_changes
from mentor_training.clearance.queries import Gate, gate_at, volunteers_known
from mentor_training.clearance.rules import STILL_A_SHADOW
from mentor_training.clearance.spans import NEXT_DAY
from mentor_training.errors import NotFound
from mentor_training.people.queries import volunteers
from mentor_training.program.catalog import Level, Program
from mentor_training.program.editions import PublishedProgram, content_hash, in_force

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
    if not people:
        return ()
    if len(people) > 1:
        gate.load_everybody()
    file = gate.participant(participant) if participant else None
    found = lapses_of_all(gate.matrix(people), gate.dossier, people, tuple(stations), file, on, days)
    coming = sessions(db, since=on)
    return tuple(
        LapseAhead(one, next((session for session in coming if session.day >= one.day), None)) for one in found
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

    def look_back_on_all(
        self, people: Sequence[str], stations: Sequence[str], on: date, most: int | None = None
    ) -> Iterator[Hindsight]:
        """Yield the same for many volunteers and stations, by volunteer; only where they differ is it asked why.

        `most` bounds for how many it is asked; of the others that differ the levels are given, and no reason.
        """
        self.load_everybody()
        left = most if most is not None else len(people) * len(stations)
        both = [
            [_levels(gate, people, slug, on) for slug in stations] if people else [] for gate in (self.then, self.now)
        ]
        for at, person in enumerate(people):
            for slug, then, now in zip(stations, *both, strict=True):
                if then[at] != now[at] and left:
                    left -= 1
                    yield self.look_back(person, slug, None, on)
                else:
                    yield Hindsight(person, slug, None, on, then[at], now[at], ())

    def stations(self, on: date) -> tuple[str, ...]:
        """Return the stations of the editions in force on a day, as known then and as known now."""
        found = (in_force(gate.editions, on) for gate in (self.now, self.then))
        return tuple(dict.fromkeys(slug for edition in found if edition for slug in edition.program.stations))

    def titles(self, stations: Iterable[str], on: date) -> dict[str, str]:
        """Return how stations are called on a day, as known now; its slug stands for one that is unknown then."""
        edition = in_force(self.now.editions, on)
        known = edition.program.stations if edition else {}
        return {slug: known[slug].title if slug in known else slug for slug in stations}


def _levels(gate: Gate, people: Sequence[str], station: str, on: date) -> list[Level]:
    matrix = gate.matrix(people)
    levels = matrix.column(station, None, on).levels()
    return [Level(int(levels[matrix.everybody.places[person]])) for person in people]


def _known(gate: Gate, person: str, participant: str | None) -> Known:
    file = None
    if participant:
        try:
            file = gate.participant(participant)
        except NotFound:
            # Nobody had heard of them by then.
            file = ParticipantFile(participant, (), ())
    return Known(gate.dossier(person), file)


@dataclass(frozen=True)
class Cleared:
    """One answer to who is cleared, and whether its level falls before the next session."""

    answer: Answer
    lapses: bool

    @property
    def level(self) -> Level:
        """Return the level."""
        return self.answer.level

    @property
    def is_shadow(self) -> bool:
        """Return whether they may be present all the same, counting for nothing and touching nobody."""
        return not self.level and all(ground.kind in STILL_A_SHADOW for ground in self.answer.grounds)


@dataclass(frozen=True)
class Counts:
    """How many volunteers have which level at a station, and how many of them lapse before the next session."""

    station: str
    levels: tuple[int, int, int, int]
    lapsing: int

    @property
    def cleared(self) -> int:
        """Return how many may work there."""
        return sum(self.levels[1:])


def next_session_after(db: Session, day: date) -> SessionFact | None:
    """Return the first session after a day: the one before which something may still lapse."""
    return next((one for one in sessions(db, since=day + NEXT_DAY)), None)


def who_is_cleared(
    gate: Gate, people: Sequence[str], station: str, participant: str | None, on: date, until: date | None
) -> tuple[Cleared, ...]:
    """Return everybody's answer at a station, with a participant where one is named: by level, the highest first.

    `until` is the day of the next session; a level that holds through no later than the day before it lapses.
    """
    found = gate.answers(people, [station], [participant], on)
    cleared = [Cleared(one, _falls_before(one.holds_through, until)) for one in found]
    return tuple(sorted(cleared, key=lambda one: -one.level))


def how_many_are_cleared(
    gate: Gate, people: Sequence[str], stations: Iterable[str], participant: str | None, on: date, until: date | None
) -> tuple[Counts, ...]:
    """Return for each station how many have which level there, with a participant where one is named."""
    if not people:
        return tuple(Counts(station, (0, 0, 0, 0), 0) for station in stations)
    file = gate.participant(participant) if participant else None
    matrix = gate.matrix(people)
    places = [matrix.everybody.places[person] for person in people]
    asked, lasting = bitmap(places, matrix.everybody.size), Lasting(matrix, on, until)
    return tuple(
        Counts(
            station,
            matrix.column(station, file, on).counts(asked),
            _how_many_fall_before(until, lasting.last_days(station, file), places),
        )
        for station in stations
    )


def _how_many_fall_before(until: date | None, last_days: Sequence[date | None], places: Iterable[int]) -> int:
    return sum(_falls_before(last_days[place], until) for place in places)


def _falls_before(last: date | None, until: date | None) -> bool:
    return last is not None and until is not None and last < until


def needs_compared(
    db: Session, files: Mapping[str, str], program: Program, effective: date, known_at: datetime
) -> tuple[NeedChange, ...]:
    """Return who would gain and who would lose for which need, from which day, if these files took effect on a day."""
    gate, people = gate_at(db, known_at), [row.code for row in volunteers(db)]
    number = max((edition.number for edition in gate.editions), default=0) + 1
    proposed = PublishedProgram(number, effective, known_at, content_hash(files), program)
    return tuple(need_changes(gate.everybody(people), people, proposed))
