"""An incident beside the floor as it ran: who was with whom, where, under which lead, cleared for what."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from mentor_training.observing.tables import Incident
from mentor_training.planning.queries.plan import closing_of
from mentor_training.planning.rules import LEAD
from mentor_training.program.catalog import Level


@dataclass(frozen=True)
class OnTheFloor:
    """One placement of the floor as it ran, in codes, with the clearance as it stood when the session was closed."""

    block: int
    station: str
    mentor: str
    role: str
    participant: str
    level: Level
    leads: tuple[str, ...]
    is_about: bool


def floor_of(db: Session, row: Incident) -> tuple[OnTheFloor, ...] | None:
    """Return the placements of the incident's block and station, all where none was named; None before the closing."""
    closing = closing_of(db, row.session) if row.session else None
    if closing is None:
        return None
    placements = [
        one
        for one in closing.floor["placements"]
        if row.block in (None, one["block"]) and row.station in ("", one["station"])
    ]
    leads: dict[tuple[int, str], list[str]] = {}
    for one in placements:
        if one["role"] == LEAD:
            leads.setdefault((one["block"], one["station"]), []).append(one["mentor"])
    return tuple(
        OnTheFloor(
            one["block"], one["station"], one["mentor"], one["role"], one["participant"] or "", Level(one["level"]),
            tuple(leads.get((one["block"], one["station"]), ())), one["mentor"] in row.involved,
        )
        for one in sorted(placements, key=lambda one: (one["block"], one["station"], one["role"] != LEAD))
    )  # fmt: skip
