"""What an observer's phone keeps of the floor for when the network is gone: the least that observing takes."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.evidence.facts import Fact
from mentor_training.evidence.queries import facts_of
from mentor_training.observing.queries.floor import Floor, Stakes, ToSee, floor_on, stations_on, to_see
from mentor_training.observing.queries.standings import between, standing_facts
from mentor_training.observing.rules.paused import stand_downs_on
from mentor_training.observing.rules.standing import CALIBRATED, ENTITLED, objections_to_observing, stands
from mentor_training.participants.tables import Participant
from mentor_training.people.permissions import Actor
from mentor_training.program.editions import PublishedProgram
from mentor_training.program.queries import require_edition

# First names go with an observer from two days before a session on, as they do with a mentor.
NAMES_BEFORE = timedelta(days=2)


@dataclass(frozen=True)
class KeptPerson:
    """A volunteer with the skills to be seen, why this observer may not see them, and what pauses."""

    line: ToSee
    objections: tuple[str, ...]
    stood_down: tuple[Fact, ...]


@dataclass(frozen=True)
class KeptFloor:
    """The floor of one day, as one observer may have it along. Of a participant there are code and first name."""

    day: date
    floor: Floor
    published: PublishedProgram
    people: tuple[KeptPerson, ...]
    open_stations: frozenset[str]
    participants: tuple[tuple[str, str], ...]
    calibrated: bool
    entitled: frozenset[str]


StakesOn = Callable[[Collection[str], date, datetime], Stakes]


def kept_floor(
    db: Session, viewer: Actor, today: date, at: datetime, partners: Collection[str] = (),
    stakes_on: StakesOn = lambda _people, _day, _at: {},
) -> KeptFloor:  # fmt: skip
    """Return the floor of the next session there is, today's where there is one; nobody's marks are in it.

    `partners` are the volunteers with whom the observer is paired today; `stakes_on` says what hangs on each skill.
    Whom the observer may not observe stands at the end.
    """
    floor = floor_on(db, viewer, today, today)
    day = floor.session.day if floor.session else today
    published = require_edition(db, day, at)
    lines = to_see(db, floor.people, day, at, stakes_on([row.code for row in floor.people], day, at))
    people = [_person(db, viewer, line, day, at, partners) for line in lines]
    facts = standing_facts(db, viewer.code, at)
    return KeptFloor(
        day=day,
        floor=floor,
        published=published,
        people=tuple(sorted(people, key=lambda one: bool(one.objections))),
        open_stations=stations_on(db, day),
        participants=_participants(db, day) if day - today <= NAMES_BEFORE else (),
        calibrated=stands(facts, CALIBRATED, "", day),
        entitled=frozenset(slug for slug in published.program.skills if stands(facts, ENTITLED, slug, day)),
    )


def stand_downs_of(db: Session, person: str, day: date, at: datetime) -> tuple[Fact, ...]:
    """Return the stand-downs of one volunteer that hold on a day."""
    return stand_downs_on(facts_of(db, person, at), day)


def _person(db: Session, viewer: Actor, line: ToSee, day: date, at: datetime, partners: Collection[str]) -> KeptPerson:
    code = line.person.code
    objections = objections_to_observing(between(db, viewer.code, code, partners))
    return KeptPerson(line, objections, stand_downs_of(db, code, day, at))


def _participants(db: Session, day: date) -> tuple[tuple[str, str], ...]:
    """Return code and first name of the participants of a day's sessions; nothing else is even read."""
    sessions = select(ProgramSession.code).where(ProgramSession.day == day)
    expected = select(Expected.code).where(Expected.kind == "participant", Expected.session.in_(sessions))
    query = select(Participant.code, Participant.first_name).where(Participant.code.in_(expected))
    rows = db.execute(query.order_by(Participant.first_name, Participant.code))
    return tuple((code, first_name) for code, first_name in rows)
