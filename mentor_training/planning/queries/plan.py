"""A session's plan with everything it is measured against, as known at a moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from itertools import groupby

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.decision import Decision
from mentor_training.clearance.queries import Gate, gate_at
from mentor_training.clearance.rules import level_on
from mentor_training.errors import NotFound
from mentor_training.participants.queries import cards_known, first_names, profiles_in_force
from mentor_training.participants.rules import ProfileFact, card_on
from mentor_training.people.queries import names
from mentor_training.planning.gaps import Gap, LeadGap, Near, find_gaps, find_lead_gaps
from mentor_training.planning.queries.attending import Attending, attending
from mentor_training.planning.queries.closed import Closed, closed_stations, in_words
from mentor_training.planning.queries.elsewhere import placed_elsewhere
from mentor_training.planning.rules import Floor, Placed, mentors_wanted, unsupervised
from mentor_training.planning.tables import Closing, Placement
from mentor_training.program.catalog import Program
from mentor_training.program.editions import PublishedProgram

HARD = frozenset({"keep_apart", "stand_down", "restriction"})
NEAREST = 3


@dataclass(frozen=True)
class Standing:
    """A placement as it is stored, with its number."""

    id: int
    placed: Placed


@dataclass(frozen=True)
class Fallen:
    """A placement that does not hold as it was stored, and what is said against it now.

    Its clearance has changed for the worse, or it is a supervised one whose lead's has.
    """

    standing: Standing
    level: int
    reasons: tuple[str, ...]


@dataclass
class Plan:
    """A session, its floor, who is placed, and the gate that answers for it."""

    session: SessionFact
    edition: PublishedProgram
    gate: Gate
    floor: Floor
    standing: tuple[Standing, ...]
    profiles: dict[str, ProfileFact]
    overdue: frozenset[str]
    _levels: dict[tuple[str, str, str | None], int] = field(default_factory=dict)
    attending: Attending = field(default_factory=Attending)

    @property
    def program(self) -> Program:
        """Return the program in force on the session's day."""
        return self.edition.program

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """Return who is placed, each with the level that the gate gives now, whatever it was when they were placed."""
        return tuple(replace(one.placed, level=self.level_now(one.placed)) for one in self.standing)

    @property
    def counted(self) -> tuple[Placed, ...]:
        """Return who is placed, those with level 0 who say that they cannot come: they cover nobody."""
        away = self.attending.unavailable
        return tuple(replace(one, level=0) if (one.block, one.mentor) in away else one for one in self.placed)

    @cached_property
    def fallen(self) -> tuple[Fallen, ...]:
        """Return the placements that do not hold as they were stored; see `Fallen`."""
        found, by_block = [], {block: self.placed_in(block) for block in {one.placed.block for one in self.standing}}
        for one, now in zip(self.standing, self.placed, strict=True):
            lacks = self.lacks(now) if now.level < one.placed.level else ()
            reasons = (*lacks, *unsupervised(self.floor, by_block[now.block], now))
            if reasons or now.level < one.placed.level:
                found.append(Fallen(one, now.level, reasons))
        return tuple(found)

    def placed_in(self, block: int) -> tuple[Placed, ...]:
        """Return who is placed in one block; most rules look no further, and asking for one is quicker than for all."""
        here = (one.placed for one in self.standing if one.placed.block == block)
        return tuple(replace(one, level=self.level_now(one)) for one in here)

    def level_now(self, placed: Placed) -> int:
        """Return the level that somebody who is placed has now; 0 where the station is closed."""
        if (placed.block, placed.station) in self.floor.closed:
            return 0
        return self.level_of(placed.mentor, placed.station, placed.participant)

    def level_of(self, mentor: str, station: str, participant: str | None) -> int:
        """Return a clearance's level on the session's day, asked once."""
        key = (mentor, station, participant)
        if key not in self._levels:
            file = self.gate.participant(participant) if participant else None
            self._levels[key] = level_on(self.gate.dossier(mentor), station, file, self.session.day)
        return self._levels[key]

    def decide(self, mentor: str, station: str, participant: str | None) -> Decision:
        """Return the whole answer of the gate on the session's day."""
        return self.gate.decide(mentor, station, participant, self.session.day)

    def lacks(self, placed: Placed) -> tuple[str, ...]:
        """Return, in words, what is said against somebody who is placed."""
        if placed.station not in self.program.stations:
            return (f"there is no {placed.station} in edition {self.edition.number} of the program",)
        if (placed.block, placed.station) in self.floor.closed:
            return (self.floor.closed_in_words(placed.block, placed.station).rstrip("."),)
        return self.decide(placed.mentor, placed.station, placed.participant).reasons()

    def practices_at(self, station: str) -> tuple[str, ...]:
        """Return the skills that working at a station practices."""
        found = self.program.stations.get(station)
        return found.practices if found else ()

    def nearest_of(self, participant: str, stations: Iterable[str]) -> tuple[Near, ...]:
        """Return the three expected volunteers who lack least with a participant, each at their nearest station.

        Who is cleared at one of them needs nothing; who is kept apart, stood down or restricted is not near. A rule
        of this program.
        """
        found = [near for who in self.floor.volunteers if (near := self._near(who, participant, stations))]
        return tuple(sorted(found, key=lambda near: (near.distance, near.mentor))[:NEAREST])

    def _near(self, who: str, participant: str, stations: Iterable[str]) -> Near | None:
        known = (slug for slug in stations if slug in self.program.stations)
        decisions = [self.decide(who, slug, participant) for slug in known]
        near = [one for one in decisions if not HARD & {ground.kind for ground in one.grounds}]
        if not near or any(one.level for one in decisions):
            return None
        best = min(near, key=things_lacking)
        return Near(who, best.station, best.reasons(), things_lacking(best), only_the_card(best))

    @property
    def wishes(self) -> dict[str, tuple[str, ...]]:
        """Return whom participants wish to work with."""
        return {code: profile.wishes for code, profile in self.profiles.items()}


def things_lacking(decision: Decision) -> int:
    """Return how many different things stand between somebody and the first rung."""
    missing = set(next(iter(decision.missing.values()), ()))
    entry = {atom for ground in decision.grounds if not isinstance(ground.about, str) for atom in ground.about}
    return len(missing | entry) + sum(isinstance(ground.about, str) for ground in decision.grounds)


def only_the_card(decision: Decision) -> bool:
    """Say whether nothing stands between somebody and the first rung but a card that they have not read."""
    missing = next(iter(decision.missing.values()), ())
    return bool(decision.grounds) and not missing and all(one.kind == "read_card" for one in decision.grounds)


def plan_for(db: Session, code: str, known_at: datetime) -> Plan:
    """Return a session's plan, measured by what is known at a moment; refuses where no edition is in force that day."""
    return plan_of(db, session_for(db, code), known_at)


def plan_of(db: Session, session: SessionFact, known_at: datetime) -> Plan:
    """Return the plan of a session that was looked up already."""
    gate = gate_at(db, known_at)
    edition = gate.edition(session.day)
    profiles = profiles_in_force(db, session.participants, session.day, known_at)
    standing, there = standing_in(db, session.code), attending(db, session, known_at)
    shut = closed_stations(db, session, known_at)
    return Plan(
        session, edition, gate, _floor(db, session, edition.program, profiles, there, shut), standing, profiles,
        frozenset(_overdue(db, session, known_at)), attending=there,
    )  # fmt: skip


def with_more(plan: Plan, added: Iterable[Placed]) -> Plan:
    """Return a plan with placements that are not stored, each numbered 0."""
    return replace(plan, standing=(*plan.standing, *(Standing(0, one) for one in added)))


def without_and_with(plan: Plan, removed: Iterable[Placed], added: Iterable[Placed]) -> Plan:
    """Return a plan as it would be without some placements and with others, none of it stored."""
    gone = set(removed)
    stay = (one for one, now in zip(plan.standing, plan.placed, strict=True) if now not in gone)
    return replace(plan, standing=(*stay, *(Standing(0, one) for one in added)))


def standing_in(db: Session, session: str) -> tuple[Standing, ...]:
    """Return the placements of a session, by block, then in the order in which they were made."""
    columns = (Placement.id, Placement.block, Placement.station, Placement.mentor, Placement.role)
    chosen = select(*columns, Placement.participant, Placement.level).where(Placement.session == session)
    return tuple(
        Standing(row[0], Placed(*row[1:])) for row in db.execute(chosen.order_by(Placement.block, Placement.id))
    )


def placement_for(db: Session, session: str, number: int) -> Placement:
    """Return a placement of a session by its number."""
    row = db.get(Placement, number)
    if row is None or row.session != session:
        raise NotFound(f"placement {number} in session {session}; it may have been removed meanwhile")
    return row


def closing_of(db: Session, session: str) -> Closing | None:
    """Return the closing of a session, or None while it is open."""
    return db.get(Closing, session)


def closed_sessions(db: Session) -> set[str]:
    """Return the codes of the sessions that are closed."""
    return set(db.scalars(select(Closing.session)))


def gaps(db: Session, session: str, known_at: datetime) -> tuple[Gap, ...]:
    """Return each expected participant and block without enough mentors, with the reason in words and data."""
    return gaps_of(plan_for(db, session, known_at))


def gaps_of(plan: Plan) -> tuple[Gap, ...]:
    """Return the gaps of a plan at hand."""
    remembered: dict[tuple[str, tuple[str, ...]], tuple[Near, ...]] = {}

    def nearest(participant: str, stations: tuple[str, ...]) -> tuple[Near, ...]:
        key = (participant, stations)
        if key not in remembered:
            remembered[key] = plan.nearest_of(participant, stations)
        return remembered[key]

    return find_gaps(plan.floor, plan.counted, plan.level_of, nearest, plan.overdue)


def lead_gaps_of(plan: Plan) -> tuple[LeadGap, ...]:
    """Return the stations that lack leads in a block."""
    return find_lead_gaps(plan.floor, plan.counted, plan.level_of)


def fallen_of(plan: Plan) -> tuple[Fallen, ...]:
    """Return the placements that do not hold as they were stored; see `Fallen`."""
    return plan.fallen


def by_mentor(fallen: Iterable[Fallen]) -> list[tuple[Fallen, ...]]:
    """Return placements that no longer hold put together by volunteer and reasons."""

    def alike(one: Fallen) -> tuple[str, tuple[str, ...]]:
        return (one.standing.placed.mentor, one.reasons)

    return [tuple(those) for _, those in groupby(sorted(fallen, key=alike), key=alike)]


def _floor(
    db: Session, session: SessionFact, program: Program, profiles: dict[str, ProfileFact], there: Attending,
    shut: Closed,
) -> Floor:  # fmt: skip
    called = first_names(db) | names(db)
    stations = {slug: program.stations[slug] for slug in session.stations if slug in program.stations}
    needs = {
        code: [program.needs[slug] for slug in profile.needs if slug in program.needs]
        for code, profile in profiles.items()
    }
    return Floor(
        blocks=tuple(block.number for block in session.blocks),
        stations=stations,
        participants=session.participants,
        volunteers=session.volunteers,
        supervised_per_lead=program.policy.supervised_per_lead,
        keep_apart={code: profile.keep_apart for code, profile in profiles.items()},
        mentors={
            (code, slug): mentors_wanted(those, station)
            for code, those in needs.items()
            for slug, station in stations.items()
        },
        names=called,
        elsewhere=placed_elsewhere(db, session),
        missed=there.missed,
        unavailable=there.unavailable,
        closed=in_words(session, shut, called),
    )


def _overdue(db: Session, session: SessionFact, known_at: datetime) -> Iterable[str]:
    cards = cards_known(db, known_at)
    for code in session.participants:
        card = card_on([one for one in cards if one.participant == code], session.day)
        if card and card.is_overdue(session.day):
            yield code
