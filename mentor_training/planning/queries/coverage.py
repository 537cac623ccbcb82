"""How far coming sessions are covered, gathered from their plans and from everybody's clearance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.queries import gate_at
from mentor_training.planning.coverage import NO_PLAN, NO_PROGRAM, SessionCoverage, coverage_of, not_covered
from mentor_training.planning.queries.attending import attending
from mentor_training.planning.queries.plan import gaps_of, plan_for
from mentor_training.planning.tables import Placement
from mentor_training.program.catalog import Station
from mentor_training.program.editions import in_force

# So many sessions stand in the picture; the others come when these are over.
MOST_SESSIONS = 4


@dataclass(frozen=True)
class Coming:
    """Coverage of the next sessions; `titles` are of the stations where participants are, in the program's order.

    `later` counts the sessions that come after them.
    """

    sessions: tuple[SessionCoverage, ...]
    titles: dict[str, str]
    later: int = 0


def coming_coverage(db: Session, coming: Sequence[SessionFact], known_at: datetime) -> Coming:
    """Return how far the next of these sessions are covered, by what is planned and cleared at a moment."""
    shown = sorted(coming, key=lambda one: (one.day, one.starts, one.code))[:MOST_SESSIONS]
    planned = set(db.scalars(select(Placement.session).where(Placement.session.in_([one.code for one in shown]))))
    found = tuple(_covered(db, one, known_at, one.code in planned) for one in shown)
    return Coming(found, _titles(db, found, known_at), len(coming) - len(shown))


def _covered(db: Session, session: SessionFact, known_at: datetime, is_planned: bool) -> SessionCoverage:
    if in_force(gate_at(db, known_at).editions, session.day) is None:
        return not_covered(session, NO_PROGRAM)
    if not is_planned:
        return not_covered(session, NO_PLAN, attending(db, session, known_at).missed)
    plan = plan_for(db, session.code, known_at)
    plan.gate.load_everybody()
    plan.gate.load_participants()
    return coverage_of(session, plan.floor, plan.counted, gaps_of(plan))


def _titles(db: Session, found: Sequence[SessionCoverage], known_at: datetime) -> dict[str, str]:
    """Return the places that are open in any of the sessions, and wherever else somebody is covered."""
    known: dict[str, Station] = {}
    for one in found:
        edition = in_force(gate_at(db, known_at).editions, one.session.day)
        known |= edition.program.stations if edition else {}
    used = {slug for one in found for block in one.blocks for slug in block.at}
    open_ = {slug for one in found for slug in one.session.stations if slug in known and not known[slug].is_duty}
    return {slug: known[slug].title for slug in known if slug in used | open_}
