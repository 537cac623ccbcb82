"""Observations as the rules need them, and as an observer may see them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.errors import NotAllowed, NotFound
from mentor_training.evidence.corrections import Effect, effects, months_later
from mentor_training.evidence.facts import SIGNED_OFF, Fact
from mentor_training.evidence.queries import facts_by_person, facts_of
from mentor_training.observing.queries.strikes import struck_observations
from mentor_training.observing.rules.readiness import Seen
from mentor_training.observing.rules.results import Marking
from mentor_training.observing.tables import Mark, Observation, Strike
from mentor_training.people.permissions import COORDINATOR, Actor
from mentor_training.people.queries import people
from mentor_training.program.catalog import Program, Skill
from mentor_training.program.queries import known_editions


@dataclass(frozen=True)
class SignedOff:
    """The sign-off of a skill that stands on a day: by whom, from when, and through when if nothing else ends it."""

    record: str
    by: str
    first_day: date
    last_day: date | None


@dataclass(frozen=True)
class ShownMark:
    """One criterion of an observation with its mark."""

    text: str
    critical: bool
    marking: str
    way: str


@dataclass(frozen=True)
class ShownObservation:
    """An observation as somebody may see it; `marks` is None while they are hidden, and the remark with them.

    `strike` says by whom and why it was struck, where it was.
    """

    row: Observation
    observer_name: str
    marks: tuple[ShownMark, ...] | None
    strike: Strike | None = None


def observation_for(db: Session, viewer: Actor, number: int) -> Observation:
    """Return an observation by its number: one's own, one of oneself, or for the coordinator any."""
    row = db.get(Observation, number)
    if row is None:
        raise NotFound(f"observation {number}")
    if viewer.code not in (row.observer, row.person) and COORDINATOR not in viewer.roles:
        raise NotAllowed("another observer's observation")
    return row


def observation_by_key(db: Session, key: str) -> Observation | None:
    """Return what was stored under the key that was chosen where it was written down, if anything was."""
    return db.scalar(select(Observation).where(Observation.key == key))


def history_of(db: Session, person: str, skill: str, known_at: datetime) -> tuple[Seen, ...]:
    """Return one volunteer's history of one skill."""
    return histories(db, known_at, {person: facts_of(db, person, known_at)}).get((person, skill), ())


def histories(
    db: Session, known_at: datetime, facts: Mapping[str, Sequence[Fact]]
) -> dict[tuple[str, str], tuple[Seen, ...]]:
    """Return the history of every skill of the volunteers whose records are handed in, by volunteer and skill."""
    query = select(Observation).where(Observation.recorded_at <= known_at).order_by(Observation.id)
    if len(facts) == 1:
        query = query.where(Observation.person.in_(facts))
    stopped = set(db.scalars(select(Mark.observation).where(Mark.mark == Marking.STOPPED)))
    taken_back = struck_observations(db, known_at)
    effect_of = {person: effects(of_person) for person, of_person in facts.items()}
    found: dict[tuple[str, str], list[Seen]] = {}
    for row in db.scalars(query):
        if row.person in effect_of:
            seen = _as_seen(row, row.id in stopped, row.id in taken_back, effect_of[row.person])
            found.setdefault((row.person, row.skill), []).append(seen)
    return {key: tuple(seen) for key, seen in found.items()}


def _as_seen(row: Observation, stopped: bool, taken_back: bool, effect: Effect) -> Seen:
    struck = taken_back or (row.record is not None and not effect.stands(row.record, row.day))
    return Seen(row.id, row.day, row.observer, row.result, stopped, row.participant, row.live, struck)


def facts_for(db: Session, persons: Collection[str], known_at: datetime) -> dict[str, tuple[Fact, ...]]:
    """Return the records of some volunteers, by volunteer; with no records an empty row of them."""
    if len(persons) == 1:
        return {person: facts_of(db, person, known_at) for person in persons}
    everybody = facts_by_person(db, known_at)
    return {person: everybody.get(person, ()) for person in persons}


def sign_offs(facts: Iterable[Fact], program: Program, on: date) -> dict[str, SignedOff]:
    """Return the sign-offs standing on a day, by skill; of several the longest lasting.

    Whether a skill that wants practice is still held is for its clearance to say; here stands what was signed.
    """
    gathered = tuple(facts)
    effect = effects(gathered)
    found: dict[str, SignedOff] = {}
    for fact in gathered:
        slug = fact.item.removeprefix("skill/")
        if fact.kind != SIGNED_OFF or fact.code in effect.voided:
            continue
        one = _signed(fact, effect, program.skills.get(slug))
        if one.first_day <= on <= (one.last_day or date.max) and _lasts_longer(one, found.get(slug)):
            found[slug] = one
    return found


def _signed(fact: Fact, effect: Effect, skill: Skill | None) -> SignedOff:
    end = months_later(fact.first_day, skill.good_for_months if skill else None)
    return SignedOff(fact.code, fact.recorded_by, fact.first_day, effect.last(fact, end))


def _lasts_longer(one: SignedOff, other: SignedOff | None) -> bool:
    return other is None or (one.last_day or date.max) >= (other.last_day or date.max)


def shown_observations(
    db: Session, viewer: Actor, person: str, skill: str, known_at: datetime
) -> tuple[ShownObservation, ...]:
    """Return the observations of a skill, oldest first, each with its marks where the viewer may see them.

    An earlier observer's marks stay hidden until one's own are in, so that each observer sees with their own eyes. The
    volunteer and the coordinator see all. A rule of this program.
    """
    query = select(Observation).where(
        Observation.person == person, Observation.skill == skill, Observation.recorded_at <= known_at
    )
    rows = list(db.scalars(query.order_by(Observation.day, Observation.id)))
    names = {row.code: row.name for row in people(db)}
    own_last = max((row.id for row in rows if row.observer == viewer.code), default=0)
    sees_all = viewer.code == person or COORDINATOR in viewer.roles
    struck = struck_observations(db, known_at)
    return tuple(
        ShownObservation(
            row,
            names.get(row.observer, row.observer),
            marks_of(db, row) if sees_all or row.id <= own_last else None,
            struck.get(row.id),
        )
        for row in rows
    )


def station_of_last(db: Session, observer: str, day: date) -> str:
    """Return the station of an observer's last observation of a day, since they rarely walk far; empty for none."""
    query = select(Observation.station).where(Observation.observer == observer, Observation.day == day)
    return db.scalar(query.order_by(Observation.id.desc()).limit(1)) or ""


def marks_of(db: Session, row: Observation) -> tuple[ShownMark, ...]:
    """Return the marks of an observation beside the criteria of the edition under which they were made."""
    skill = skill_then(db, row)
    criteria = dict(enumerate(skill.criteria, 1)) if skill else {}
    marks = db.scalars(select(Mark).where(Mark.observation == row.id).order_by(Mark.criterion))
    return tuple(
        ShownMark(criteria[mark.criterion].text, criteria[mark.criterion].critical, mark.mark, mark.way)
        for mark in marks
        if mark.criterion in criteria
    )


def skill_then(db: Session, row: Observation) -> Skill | None:
    """Return the skill as the edition said under which it was observed."""
    editions = known_editions(db, row.recorded_at)
    found = next((one.program for one in editions if one.number == row.program_edition), None)
    return found.skills.get(row.skill) if found else None
