"""Whom to observe next: gathers the coming sessions, what sign-offs would open in them, and who can observe whom."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import sessions
from mentor_training.calendar.rules import SessionFact, minutes_of
from mentor_training.clearance.dossier import Dossier
from mentor_training.clearance.everybody import Everybody
from mentor_training.clearance.matrix import Matrix
from mentor_training.clearance.rules import level_on
from mentor_training.clearance.sheaves import Sheaves
from mentor_training.clock import day_in
from mentor_training.errors import NotFound
from mentor_training.evidence.facts import MET as MET_KIND
from mentor_training.evidence.facts import READ_CARD, SIGNED_OFF, Fact
from mentor_training.observing.queries.history import facts_for, histories, sign_offs
from mentor_training.observing.queries.standings import between, standing_facts
from mentor_training.observing.rules.readiness import Seen, readiness
from mentor_training.observing.rules.results import MET
from mentor_training.observing.rules.standing import CALIBRATED, StandingFact, objections_to_observing, stands
from mentor_training.people.permissions import OBSERVER
from mentor_training.people.queries import people
from mentor_training.planning.queries.asking import levels_of, open_floor
from mentor_training.planning.queries.coming import end_of
from mentor_training.planning.queries.partners import partners_of
from mentor_training.planning.queries.plan import Plan, closed_sessions, plan_for
from mentor_training.planning.solver.question import LevelsAt
from mentor_training.planning.suggestions import Ahead, Candidate, Pair, Suggested, suggest
from mentor_training.program.catalog import Level, SignOffRule
from mentor_training.program.queries import require_edition

# The place of an observation that is only thought of: after all others, with a participant who is nobody else.
NEWEST, SOMEBODY_ELSE = 2**62, "-"


@dataclass(frozen=True)
class Occasion:
    """When and where the observations would be made, by whom, and for which sessions they are counted.

    `at` is the session on whose floor they would be made; None where they would be made before the first one, on a day
    without a session. `minutes` is what each observer has.
    """

    day: date
    at: SessionFact | None
    counted: tuple[SessionFact, ...]
    minutes: Mapping[str, int]


@dataclass(frozen=True)
class Next:
    """What is suggested for an occasion, and how many skills are ready for sign-off already with nothing to be seen."""

    occasion: Occasion
    found: Suggested
    ready: int


def occasion_for(
    db: Session,
    now: datetime,
    zone: ZoneInfo,
    codes: Collection[str] = (),
    minutes: int | None = None,
    own: Collection[str] | None = None,
) -> Occasion:
    """Return the occasion for some sessions, or for all that have not ended; of these only `own`, if given.

    The first that is coming is where they would be made, and the ones after it are counted; where there is but one, or
    the first is itself named, they would be made before it. Each observer has as long as the blocks of the first last,
    unless `minutes` says otherwise. A rule of this program.
    """
    today, closed = day_in(zone, now), closed_sessions(db)
    ahead = (one for one in sessions(db, since=today) if one.code not in closed and end_of(one, zone) > now)
    coming = [one for one in ahead if own is None or one.code in own]
    unknown = set(codes) - {one.code for one in coming}
    if unknown:
        raise NotFound(f"coming session {', '.join(sorted(unknown))}; it may have ended, or been closed")
    counted = [one for one in coming if one.code in codes] if codes else coming[1:] or coming
    at = coming[0] if coming and coming[0] not in counted else None
    first = at or (counted[0] if counted else None)
    observers = (first.observers if first else ()) or tuple(row.code for row in people(db, OBSERVER))
    lasts = sum(minutes_of(block.ends) - minutes_of(block.starts) for block in first.blocks) if first else 0
    each = lasts if minutes is None else minutes
    return Occasion(at.day if at else today, at, tuple(counted), dict.fromkeys(observers, each))


def suggested(
    db: Session, occasion: Occasion, each: int, known_at: datetime, visible: Collection[str] | None = None
) -> Next:
    """Return whom to observe at which skill; of all who are expected where they are to be seen, or of those visible."""
    plans = [plan_for(db, one.code, known_at) for one in occasion.counted]
    if not plans:
        return Next(occasion, suggest((), (), {}, each), 0)
    persons = {who for plan in plans for who in plan.floor.volunteers}
    persons &= set(occasion.at.volunteers) if occasion.at else persons
    persons &= persons if visible is None else set(visible)
    looking = _Looking(db, occasion, known_at)
    candidates = list(looking.candidates(sorted(persons)))
    dossiers = _with_cards(plans, occasion.day)
    matrix = Matrix(Everybody(Sheaves(()), dossiers, plans[0].gate.editions))
    ahead = [_ahead(plan, dossiers, matrix, occasion.day) for plan in plans]
    return Next(occasion, suggest(ahead, candidates, occasion.minutes, each), looking.ready)


@dataclass
class _Looking:
    """Looks for skills that one more met observation makes ready for sign-off."""

    db: Session
    occasion: Occasion
    known_at: datetime
    ready: int = 0
    _standings: dict[str, tuple[StandingFact, ...]] = field(default_factory=dict)
    _partners: dict[str, frozenset[str]] = field(default_factory=dict)

    def candidates(self, persons: Sequence[str]) -> Iterator[Candidate]:
        """Yield them by volunteer, then in the order of the program; count those that are ready as they are."""
        day = self.occasion.day
        program = require_edition(self.db, day, self.known_at).program
        facts = facts_for(self.db, persons, self.known_at) if persons else {}
        seen = histories(self.db, self.known_at, facts)
        for person in persons:
            signed = sign_offs(facts[person], program, day)
            for slug, skill in program.skills.items():
                history = seen.get((person, slug), ())
                if slug in signed:
                    continue
                if readiness(skill.sign_off, history, day).is_ready:
                    self.ready += 1
                elif observers := self._observers(person, slug, skill.sign_off, history):
                    yield Candidate(person, slug, observers)

    def _observers(self, person: str, skill: str, rule: SignOffRule, history: tuple[Seen, ...]) -> tuple[str, ...]:
        """Return who is calibrated, may observe them, and whose one more met observation makes the skill ready."""
        able = (code for code in self.occasion.minutes if _makes_ready(rule, history, code, self.occasion.day))
        return tuple(
            code
            for code in able
            if stands(self._standing(code), CALIBRATED, skill, self.occasion.day)
            and not objections_to_observing(between(self.db, code, person, self._partners_of(code)))
        )

    def _standing(self, observer: str) -> tuple[StandingFact, ...]:
        if observer not in self._standings:
            self._standings[observer] = standing_facts(self.db, observer, self.known_at)
        return self._standings[observer]

    def _partners_of(self, observer: str) -> frozenset[str]:
        if observer not in self._partners:
            self._partners[observer] = partners_of(self.db, observer, self.occasion.day)
        return self._partners[observer]


def _makes_ready(rule: SignOffRule, history: tuple[Seen, ...], observer: str, day: date) -> bool:
    one_more = Seen(NEWEST, day, observer, MET, participant=SOMEBODY_ELSE)
    return readiness(rule, (*history, one_more), day).is_ready


def _with_cards(plans: Sequence[Plan], day: date) -> dict[str, Dossier]:
    """Return the records of all who are expected as if they had read the cards of all participants.

    A card is handed over when two are to be paired, and read in minutes; unread it would hide what a skill opens.
    """
    for plan in plans:
        plan.gate.load_everybody()
    gate = plans[0].gate
    files = ((gate.participant(code), plan.session.day) for plan in plans for code in plan.floor.participants)
    cards = sorted({(file.code, card.version) for file, on in files if (card := file.card_on(on))})
    items = [(READ_CARD, f"card/{code}@{version}") for code, version in cards]
    persons = sorted({who for plan in plans for who in plan.floor.volunteers})
    return {who: _with_more(gate.dossier(who), items, day, gate.known_at) for who in persons}


def _ahead(plan: Plan, dossiers: Mapping[str, Dossier], matrix: Matrix, day: date) -> Ahead:
    """Return a coming session with what sign-offs of a day would open in it, by the rules of clearance themselves."""
    levels_at = levels_of(plan, matrix)

    def opened(who: str, skills: frozenset[str]) -> frozenset[Pair]:
        items = [(kind, f"skill/{slug}") for slug in sorted(skills) for kind in (MET_KIND, SIGNED_OFF)]
        there = _with_more(dossiers[who], items, day, plan.gate.known_at)
        return frozenset(_newly(plan, levels_at, there))

    return Ahead(open_floor(plan), levels_at, cache(opened))


def _newly(plan: Plan, levels_at: LevelsAt, there: Dossier) -> Iterator[Pair]:
    """Yield where and with whom somebody with these records could work, and cannot as it is."""
    place = plan.floor.volunteers.index(there.person)
    for slug in plan.floor.places:
        # With a participant nobody is cleared further than without one.
        if level_on(there, slug, None, plan.session.day) == Level.NOT_YET:
            continue
        for code in plan.floor.participants:
            if levels_at(slug, code)[place] == Level.NOT_YET:
                level = level_on(there, slug, plan.gate.participant(code), plan.session.day)
                if level > Level.NOT_YET:
                    yield (slug, code)


def _with_more(dossier: Dossier, items: Sequence[tuple[str, str]], day: date, known_at: datetime) -> Dossier:
    """Return a volunteer's records with some, by kind and item, that are only thought of."""
    thought = (Fact(f"thought-{kind}-{item}", dossier.person, kind, item, day, None, known_at) for kind, item in items)
    return Dossier(dossier.person, (*dossier.facts, *thought), dossier.editions)
