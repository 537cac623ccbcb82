"""Who shadows where in a session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.planning.queries.plan import Plan
from mentor_training.planning.shadowing import shadow_refusals
from mentor_training.planning.tables import Shadow


@dataclass(frozen=True)
class Shadowing:
    """A shadow in a block, and what is said against it now."""

    block: int
    station: str
    person: str
    reasons: tuple[str, ...]


def shadows_in(db: Session, plan: Plan) -> tuple[Shadowing, ...]:
    """Return the shadows of an open session, by block and station, each with what is said against it now."""
    query = select(Shadow).where(Shadow.session == plan.session.code)
    rows = db.scalars(query.order_by(Shadow.block, Shadow.station, Shadow.person))
    return tuple(
        Shadowing(row.block, row.station, row.person, refusals_of(plan, row.block, row.station, row.person))
        for row in rows
    )


def refusals_of(plan: Plan, block: int, station: str, person: str) -> tuple[str, ...]:
    """Return, in words, why somebody may not shadow there, by the plan and the gate of now."""
    placed = plan.placed_in(block)
    return shadow_refusals(plan.floor, placed, block, station, person, _may_watch(plan, station, person))


def own_shadows(db: Session, session: str, person: str) -> dict[int, str]:
    """Return where somebody shadows in a session, by block."""
    rows = db.scalars(select(Shadow).where(Shadow.session == session, Shadow.person == person))
    return {row.block: row.station for row in rows}


def _may_watch(plan: Plan, station: str, person: str) -> bool:
    if station not in plan.program.stations:
        return False
    decision = plan.decide(person, station, None)
    return decision.level > 0 or decision.is_shadow
