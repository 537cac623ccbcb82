"""A volunteer's path: what is there, what is missing, and what would open most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.calendar.queries import VOLUNTEER, upcoming
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.decision import Decision, Ground
from mentor_training.clearance.queries import gate_at
from mentor_training.clock import day_in
from mentor_training.hours.queries import Log, log_for
from mentor_training.learning.queries import Known, known, permission_of, progress_of_all
from mentor_training.learning.rules.holds import Permission
from mentor_training.learning.rules.reading import Progress
from mentor_training.observing.queries.floor import SkillState, skill_states
from mentor_training.overview.queries.falling_out import FallsOut, falling_out
from mentor_training.overview.queries.steps import expected_ahead
from mentor_training.overview.rules import Step, next_steps
from mentor_training.papers.queries import SOON_DAYS, PaperLine, papers_of
from mentor_training.people.queries import person_for
from mentor_training.people.tables import Person
from mentor_training.planning.queries.pairings import Pairing, pairing_for
from mentor_training.program.catalog import Program
from mentor_training.program.requirements import Item


@dataclass(frozen=True)
class Path:
    """One volunteer on one day: every decision, what each missing thing would open, and how everything stands."""

    person: Person
    day: date
    program: Program
    decisions: tuple[Decision, ...]
    steps: tuple[Step, ...]
    modules: tuple[Progress, ...]
    quizzes: Mapping[str, Permission]
    skills: tuple[SkillState, ...]
    papers: tuple[PaperLine, ...]
    log: Log
    pairing: Pairing | None
    falls: tuple[FallsOut, ...] = ()

    @property
    def cleared(self) -> int:
        """Return at how many stations and duties they may work."""
        return sum(one.level > 0 for one in self.decisions)

    @property
    def pauses(self) -> tuple[Ground, ...]:
        """Return the stand-downs and restrictions in force, each once."""
        found = (ground for one in self.decisions for ground in one.grounds if ground.kind != "entry")
        return tuple(dict.fromkeys(found))

    @property
    def is_paused_everywhere(self) -> bool:
        """Return whether a stand-down or restriction lies on every station and duty."""
        return all(any(ground.kind != "entry" for ground in one.grounds) for one in self.decisions)

    @property
    def wanting_papers(self) -> tuple[PaperLine, ...]:
        """Return the papers that are not in force, end soon, or wait to be verified."""
        return tuple(
            line
            for line in self.papers
            if line.state.kind != "in-force" or line.waiting or line.state.ends_within(self.day, SOON_DAYS)
        )

    @property
    def ends_before(self) -> dict[str, SessionFact]:
        """Return, by paper, the first session of their own at which it has ended and a level is lower for it."""
        found: dict[str, SessionFact] = {}
        for one in self.falls:
            for paper in one.papers if one.first else ():
                found.setdefault(paper, one.hits[0].session)
        return found

    @property
    def opening(self) -> frozenset[str]:
        """Return the items that would raise a level somewhere by themselves."""
        return frozenset(name_of(step) for step in self.steps if step.opens)

    @property
    def skills_to_show(self) -> tuple[SkillState, ...]:
        """Return the skills that are ready or begun, and of the others those that open something alone."""
        return tuple(
            state
            for state in self.skills
            if state.group in ("ready", "begun") or (state.group == "open" and _item(state) in self.opening)
        )

    @property
    def wanted_later(self) -> int:
        """Return how many more skills some station wants together with other things."""
        wanted = {name_of(step) for step in self.steps} - self.opening
        return sum(state.group == "open" and _item(state) in wanted for state in self.skills)


def _item(state: SkillState) -> str:
    return f"skill/{state.skill.slug}"


def name_of(step: Step) -> str:
    """Return the name of the item that a step is about, such as `module/spotting`; empty for hours and sessions."""
    return step.atom.name if isinstance(step.atom, Item) else ""


def path_of(db: Session, code: str, day: date, known_at: datetime, zone: ZoneInfo, now: datetime) -> Path:
    """Return a volunteer's path on a day, as known at a moment; refuses where no edition is in force.

    With whom they are paired opens by what is known `now`, on its day: what a page is asked about stands in an address.
    """
    person, gate, then = person_for(db, code), gate_at(db, known_at), known(db, known_at, zone, day)
    program = gate.edition(day).program
    decisions = tuple(gate.decide(code, slug, None, day) for slug in program.stations)
    return Path(
        person=person,
        day=day,
        program=program,
        decisions=decisions,
        steps=next_steps(decisions, expected_ahead(db, day, known_at, program)),
        modules=progress_of_all(db, code, then),
        quizzes=_quizzes(db, code, then),
        skills=skill_states(db, person, day, known_at),
        papers=papers_of(db, code, day, known_at),
        log=log_for(db, person, day, known_at),
        pairing=_next_pairing(db, code, day, now, zone),
        falls=falling_out(db, gate, [person], day),
    )


def _quizzes(db: Session, code: str, then: Known) -> dict[str, Permission]:
    policy = then.program.policy
    return {slug: permission_of(db, code, slug, policy, then.moment) for slug in then.program.quizzes}


def _next_pairing(db: Session, code: str, day: date, now: datetime, zone: ZoneInfo) -> Pairing | None:
    coming = upcoming(db, day, VOLUNTEER, code)
    return pairing_for(db, code, coming[0].code, day_in(zone, now), now) if coming else None
