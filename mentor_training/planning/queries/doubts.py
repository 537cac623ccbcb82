"""Who is placed and does not come, by what was said: each waits for a decision, and none is taken out by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.availability import PARTICIPANT, PERSON, Said
from mentor_training.planning.queries.plan import Plan, Standing
from mentor_training.planning.tables import Placement


@dataclass(frozen=True)
class Doubt:
    """Somebody who is placed in blocks in which they do not come: what was said, and whether after they were placed."""

    code: str
    said: Said
    standing: tuple[Standing, ...]
    is_since: bool

    @property
    def blocks(self) -> tuple[int, ...]:
        """Return the blocks, each once."""
        return tuple(sorted({one.placed.block for one in self.standing}))


def doubts_of(db: Session, plan: Plan) -> tuple[Doubt, ...]:
    """Return who is placed in a plan and does not come, volunteers and participants, in the order of their codes."""
    there = plan.attending
    gone: dict[tuple[str, str], list[Standing]] = {}
    for one in plan.standing:
        placed = one.placed
        if (placed.block, placed.mentor) in there.unavailable:
            gone.setdefault((PERSON, placed.mentor), []).append(one)
        if placed.participant and (placed.block, placed.participant) in there.missed:
            gone.setdefault((PARTICIPANT, placed.participant), []).append(one)
    moments = _placed_at(db, plan.session.code) if gone else {}
    return tuple(
        Doubt(key[1], said, tuple(those), any(moments[one.id] < said.said_at for one in those))
        for key, those in sorted(gone.items())
        for said in [there.decided[key]]
    )


def _placed_at(db: Session, session: str) -> dict[int, datetime]:
    return dict(db.execute(select(Placement.id, Placement.placed_at).where(Placement.session == session)).all())
