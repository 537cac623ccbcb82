"""What the day asks of the people who run it: the session, the gaps, what waits, what lapses."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import OBSERVER, PARTICIPANT, VOLUNTEER, sessions, upcoming
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.queries import Gate, gate_at, next_session_day, visible_volunteers
from mentor_training.overview.rules import ends_of
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.tables import Person
from mentor_training.planning.gaps import Gap, LeadGap
from mentor_training.planning.queries.coming import Came, came_to
from mentor_training.planning.queries.doubts import Doubt, doubts_of
from mentor_training.planning.queries.plan import (
    Fallen,
    Plan,
    closed_sessions,
    closing_of,
    fallen_of,
    gaps_of,
    lead_gaps_of,
    plan_for,
)

NEXT_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Uncovered:
    """A participant with too few mentors in some blocks, and why in the first of them."""

    name: str
    blocks: tuple[int, ...]
    because: str


@dataclass(frozen=True)
class SessionState:
    """A session of the day looked at, or the next one: who came, what is not covered, what no longer holds."""

    session: SessionFact
    closed_at: datetime | None
    came: dict[tuple[str, str], Came]
    uncovered: tuple[Uncovered, ...] = ()
    lead_gaps: tuple[LeadGap, ...] = ()
    fallen: tuple[Fallen, ...] = ()
    plan: Plan | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_planned(self) -> bool:
        """Return whether anybody is placed yet."""
        return bool(self.plan and self.plan.standing)

    def here(self, kind: str) -> int:
        """Return how many of the expected of a kind have come."""
        return sum((kind, code) in self.came for code in self.session.expected(kind))

    def missing(self, kind: str) -> tuple[str, ...]:
        """Return who of a kind has not come yet."""
        return tuple(code for code in self.session.expected(kind) if (kind, code) not in self.came)

    @property
    def missing_volunteers(self) -> tuple[str, ...]:
        """Return the names of the volunteers who have not come yet."""
        return tuple(self.plan.floor.call(code) for code in self.missing(VOLUNTEER)) if self.plan else ()

    @property
    def missing_participants(self) -> tuple[str, ...]:
        """Return the first names of the participants who have not come yet."""
        return tuple(self.plan.floor.call(code) for code in self.missing(PARTICIPANT)) if self.plan else ()


@dataclass(frozen=True)
class Lapse:
    """What ends before the next session for one volunteer: the day, what it is, and where the level falls."""

    person: Person
    last_day: date
    what: tuple[str, ...]
    items: tuple[str, ...]
    stations: tuple[str, ...]


def sessions_for(db: Session, viewer: Actor, day: date, known_at: datetime) -> tuple[SessionState, ...]:
    """Return the state of a day's sessions, or of the next one there is; for an observer, of their own."""
    coming = upcoming(db, day)
    if COORDINATOR not in viewer.roles:
        coming = [one for one in coming if viewer.code in one.expected(OBSERVER)]
    return tuple(_state(db, one, known_at) for one in coming if one.day == coming[0].day)


def sessions_to_close(db: Session) -> list[SessionFact]:
    """Return the sessions that are not closed, the first first; which of them are over, the clock says."""
    closed = closed_sessions(db)
    return [one for one in sessions(db) if one.code not in closed]


def _state(db: Session, session: SessionFact, known_at: datetime) -> SessionState:
    came, closing, plan = came_to(db, session.code), closing_of(db, session.code), plan_for(db, session.code, known_at)
    if closing:
        return SessionState(session, closing.closed_at, came, plan=plan)
    return SessionState(
        session,
        None,
        came,
        tuple(_uncovered(plan, gaps_of(plan))),
        lead_gaps_of(plan),
        fallen_of(plan),
        plan,
        doubts_of(db, plan),
    )


def _uncovered(plan: Plan, gaps: Sequence[Gap]) -> Iterable[Uncovered]:
    in_order = sorted(gaps, key=lambda gap: (gap.participant, gap.block))
    for participant, group in groupby(in_order, key=lambda gap: gap.participant):
        theirs = list(group)
        yield Uncovered(plan.floor.call(participant), tuple(gap.block for gap in theirs), theirs[0].because)


def next_day_after(db: Session, day: date) -> date | None:
    """Return the day of the first session after a day."""
    return next_session_day(db, day + NEXT_DAY)


def lapses_before(db: Session, viewer: Actor, day: date, until: date, known_at: datetime) -> tuple[Lapse, ...]:
    """Return what ends for the volunteers a viewer may see so that a level of today does not hold on a later day.

    The first to end first; what ends on one day for one volunteer stands together.
    """
    gate, people = gate_at(db, known_at), visible_volunteers(db, viewer)
    if not people:
        return ()
    stations = tuple(gate.edition(day).program.stations)
    levels = gate.levels([person.code for person in people], stations, day, until)
    found: list[Lapse] = []
    for person, row in zip(people, levels, strict=True):
        ending = [slug for slug, (_, last_day) in zip(stations, row, strict=True) if last_day]
        found += _lapses_of(gate, person, ending, day)
    return tuple(sorted(found, key=lambda one: (one.last_day, one.person.name)))


def _lapses_of(gate: Gate, person: Person, stations: Sequence[str], day: date) -> Iterable[Lapse]:
    decisions = [gate.decide(person.code, slug, None, day) for slug in stations]
    in_order = sorted(decisions, key=lambda one: one.holds_through or date.max)
    for last_day, group in groupby(in_order, key=lambda one: one.holds_through):
        if last_day:
            yield _lapse(person, last_day, list(group))


def _lapse(person: Person, last_day: date, decisions: Sequence[Decision]) -> Lapse:
    program = decisions[0].program
    items = tuple(dict.fromkeys(item for one in decisions for item in ends_of(one, last_day)))
    return Lapse(
        person,
        last_day,
        tuple(program.title_of(item) for item in items),
        items,
        tuple(program.stations[one.station].title for one in decisions),
    )
