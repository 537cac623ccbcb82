"""Taking a roster in: whole, or not at all, and nobody is taken away."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.journal.actions import take_turn, write
from mentor_training.journal.chain import digest
from mentor_training.journal.queries import is_moving_in
from mentor_training.people.actions import enroll
from mentor_training.people.permissions import Actor
from mentor_training.roster.queries import look_at
from mentor_training.roster.reading import Roster
from mentor_training.roster.rules import Comparison


def take_in(
    db: Session, at: datetime, by: Actor, zone: ZoneInfo, texts: Mapping[str, str]
) -> tuple[Roster, Comparison | None]:
    """Store what a roster changes, and say what that was; with a finding in any file nothing is stored."""
    take_turn(db)
    roster, found = look_at(db, at, zone, texts)
    if found and found.changes:
        from_start = is_moving_in(db)
        for one in found.changes:
            enroll(db, at, by, one.row, from_start)
        told = {
            "people": len(found.changes),
            "files": "sha256:" + digest("".join(texts[name] for name in sorted(texts))),
        }
        write(db, at, by.code, "roster-taken-in", "roster", told)
    return roster, found
