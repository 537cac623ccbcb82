"""Who is on the floor: the volunteers an observer has before them, and what each is still to be seen doing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.tables import Expected, ProgramSession
from mentor_training.errors import NotAllowed, NotFound
from mentor_training.observing.queries.history import SignedOff, facts_for, histories, sign_offs
from mentor_training.observing.rules.readiness import Readiness, Seen, readiness
from mentor_training.observing.rules.urgency import Stake, Urgency, urgency
from mentor_training.participants.tables import Participant
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.queries import volunteer_for, volunteers
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Program, Skill
from mentor_training.program.queries import require_edition


@dataclass(frozen=True)
class SkillState:
    """How one skill of one volunteer stands: its readiness, the sign-off that stands, if there is one, and what hangs
    on it.
    """

    skill: Skill
    readiness: Readiness
    signed: SignedOff | None
    stake: Stake | None = None

    @property
    def group(self) -> str:
        """Return where it is listed: signed, ready, begun or open."""
        if self.signed:
            return "signed"
        if self.readiness.is_ready:
            return "ready"
        return "begun" if self.readiness.has_begun else "open"

    @property
    def is_settled(self) -> bool:
        """Say whether nothing is to be seen of it: signed off, and neither lapsed nor about to."""
        return self.signed is not None and self.stake is None

    @property
    def has_lapsed(self) -> bool:
        """Say whether it is signed off and not held all the same, for want of practice."""
        return self.signed is not None and self.stake is not None and self.stake.last_day is None

    @property
    def urgency(self) -> Urgency:
        """Return by what it is put in order, the most urgent first."""
        return urgency(self.stake, self.is_settled, GROUPS.index(self.group), self.readiness.gap)


@dataclass(frozen=True)
class ToSee:
    """A volunteer with their skills, the most urgent first."""

    person: Person
    states: tuple[SkillState, ...]

    @property
    def unsigned(self) -> tuple[SkillState, ...]:
        """Return what has not been signed off."""
        return tuple(state for state in self.states if state.group != "signed")

    @property
    def ready_count(self) -> int:
        """Return how many skills could be signed off now."""
        return sum(state.group == "ready" for state in self.states)

    @property
    def first(self) -> SkillState | None:
        """Return the skill to be seen first; None where all is settled."""
        return next((state for state in self.states if not state.is_settled), None)


@dataclass(frozen=True)
class Floor:
    """The session looked at, if there is one, and who is expected there; without a session everybody."""

    session: ProgramSession | None
    people: tuple[Person, ...]


GROUPS = ("ready", "begun", "open", "signed")

# What hangs on each skill of each volunteer: by volunteer, then by the skill's slug.
Stakes = Mapping[str, Mapping[str, Stake]]


def floor_on(db: Session, viewer: Actor, day: date, today: date, everybody: bool = False) -> Floor:
    """Return who is before an observer: the volunteers expected at that day's sessions, or at the next one there is.

    With no session, or where everybody is asked for, all volunteers whom the viewer may see. Whom they may see hangs on
    `today`, and not on the day looked at, which anybody may choose.
    """
    open_ones = sessions_before(db, viewer, today)
    session = None if everybody else _session_on_or_after(db, day, open_ones)
    if session is None:
        return Floor(None, volunteers_before(db, viewer, today))
    of_day = {one.code for one in _sessions_on(db, session.day)}
    codes = _expected(db, "volunteer", of_day if open_ones is None else of_day & open_ones)
    return Floor(session, tuple(row for row in volunteers(db) if row.code in codes))


def sessions_before(db: Session, viewer: Actor, today: date) -> set[str] | None:
    """Return the sessions whose volunteers an observer may see: the own ones and today's; None for all there are.

    Least is the rule; the coordinator, and an observer of no session yet, see all. A rule of this program.
    """
    own = set(db.scalars(select(Expected.session).where(Expected.kind == "observer", Expected.code == viewer.code)))
    if COORDINATOR in viewer.roles or not own:
        return None
    return own | {one.code for one in _sessions_on(db, today)}


def volunteers_before(db: Session, viewer: Actor, today: date) -> tuple[Person, ...]:
    """Return the volunteers an observer may see: those of the own sessions and of today's; with no session, all."""
    rows, open_ones = tuple(volunteers(db)), sessions_before(db, viewer, today)
    if open_ones is None:
        return rows
    codes = _expected(db, "volunteer", open_ones)
    return tuple(row for row in rows if row.code in codes)


def observed_for(db: Session, viewer: Actor, code: str, today: date) -> Person:
    """Return a volunteer whom the viewer may observe and look up, or say that they may not."""
    row = volunteer_for(db, viewer, code)
    if row.code not in {one.code for one in volunteers_before(db, viewer, today)}:
        raise NotAllowed("a volunteer of none of your sessions")
    return row


def to_see(
    db: Session, people: tuple[Person, ...], on: date, known_at: datetime, stakes: Stakes | None = None
) -> tuple[ToSee, ...]:
    """Return what each is still to be seen doing, the most urgent first; of equals by name.

    `stakes` says what hangs on which skill of whom; without it, who is nearest to a sign-off stands first.
    """
    program = require_edition(db, on, known_at).program
    facts = facts_for(db, [row.code for row in people], known_at)
    seen = histories(db, known_at, facts)
    lines = []
    for row in people:
        signed, at_stake = sign_offs(facts[row.code], program, on), (stakes or {}).get(row.code, {})
        lines.append(ToSee(row, _states(program, row.code, seen, signed, at_stake, on)))
    return tuple(sorted(lines, key=_in_order))


def skill_states(
    db: Session, person: Person, on: date, known_at: datetime, stakes: Stakes | None = None
) -> tuple[SkillState, ...]:
    """Return how every skill of one volunteer stands."""
    return to_see(db, (person,), on, known_at, stakes)[0].states


def state_of(db: Session, person: Person, slug: str, on: date, known_at: datetime) -> SkillState:
    """Return how one skill of one volunteer stands."""
    found = next((state for state in skill_states(db, person, on, known_at) if state.skill.slug == slug), None)
    if found is None:
        raise NotFound(f"skill {slug}")
    return found


def _states(
    program: Program,
    person: str,
    seen: Mapping[tuple[str, str], tuple[Seen, ...]],
    signed: Mapping[str, SignedOff],
    stakes: Mapping[str, Stake],
    on: date,
) -> tuple[SkillState, ...]:
    states = [
        SkillState(
            skill, readiness(skill.sign_off, seen.get((person, slug), ()), on), signed.get(slug), stakes.get(slug)
        )
        for slug, skill in program.skills.items()
    ]
    return tuple(sorted(states, key=lambda state: state.urgency))


def _in_order(line: ToSee) -> tuple[bool, Urgency | tuple[()], str, str]:
    first = line.first
    return (first is None, first.urgency if first else (), line.person.name, line.person.code)


def _session_on_or_after(db: Session, day: date, codes: set[str] | None) -> ProgramSession | None:
    query = select(ProgramSession).where(ProgramSession.day >= day)
    if codes is not None:
        query = query.where(ProgramSession.code.in_(codes))
    return db.scalar(query.order_by(ProgramSession.day, ProgramSession.starts, ProgramSession.code).limit(1))


def _sessions_on(db: Session, day: date) -> list[ProgramSession]:
    return list(db.scalars(select(ProgramSession).where(ProgramSession.day == day).order_by(ProgramSession.starts)))


def _expected(db: Session, kind: str, sessions: set[str]) -> set[str]:
    query = select(Expected.code).where(Expected.kind == kind, Expected.session.in_(sessions))
    return set(db.scalars(query))


def stations_on(db: Session, day: date) -> frozenset[str]:
    """Return the stations open at a day's sessions."""
    return frozenset(station for session in _sessions_on(db, day) for station in session.stations)


def participants_lately(db: Session, day: date, days: int) -> tuple[Participant, ...]:
    """Return the participants of the sessions of the last so many days: with whom a volunteer can have been seen.

    The pages show first name and code, nothing else.
    """
    query = select(ProgramSession.code).where(ProgramSession.day.between(day - timedelta(days=days), day))
    codes = _expected(db, "participant", set(db.scalars(query)))
    rows = db.scalars(select(Participant).where(Participant.code.in_(codes)).order_by(Participant.first_name))
    return tuple(rows)
