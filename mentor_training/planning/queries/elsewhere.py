"""Who is placed in another session at the same time of the same day."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.calendar.tables import Block, ProgramSession
from mentor_training.planning.tables import Placement


def placed_elsewhere(db: Session, session: SessionFact) -> dict[tuple[int, str], str]:
    """Return, by the block of a session and the code of a volunteer or participant, the other session where they are
    placed at that time.
    """
    others = (
        select(Placement.session, Placement.mentor, Placement.participant, Block.starts, Block.ends)
        .join(ProgramSession, ProgramSession.code == Placement.session)
        .join(Block, (Block.session == Placement.session) & (Block.number == Placement.block))
        .where(ProgramSession.day == session.day, Placement.session != session.code)
    )
    return {
        (block.number, code): other
        for other, mentor, participant, starts, ends in db.execute(others)
        for block in session.blocks
        if starts < block.ends and block.starts < ends
        for code in (mentor, participant)
        if code
    }
