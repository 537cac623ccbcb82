"""Refusing a change to a place on the floor that somebody else has changed since it was looked at."""

from __future__ import annotations

from sqlalchemy.orm import Session

from mentor_training.calendar.versions import seal
from mentor_training.errors import Stale
from mentor_training.journal.actions import take_turn
from mentor_training.planning.queries.plan import standing_in
from mentor_training.planning.rules import LEAD, Placed


def place_as_seen(db: Session, session: str, block: int, participant: str | None, role: str) -> tuple[Placed, ...]:
    """Return who stands in a place: with a participant in a block, else everybody who leads or is on a duty there."""
    here = (one.placed for one in standing_in(db, session) if one.placed.block == block)
    if participant:
        return tuple(one for one in here if one.participant == participant)
    return tuple(one for one in here if one.participant is None and one.role == (role or LEAD))


def seal_of_place(db: Session, session: str, block: int, participant: str | None, role: str) -> str:
    """Return what stands for a place as it is shown."""
    return seal(block, place_as_seen(db, session, block, participant, role))


def still_as_seen(db: Session, session: str, block: int, participant: str | None, role: str, seen: str) -> None:
    """Wait for one's turn; refuse where a place is no longer as it was shown, whatever the rules would allow."""
    take_turn(db)
    if seen != seal_of_place(db, session, block, participant, role):
        raise Stale(
            "This place was changed while your page was open; nothing was stored. The page says who is there now; "
            "send the form again if your choice still stands."
        )
