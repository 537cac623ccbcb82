"""Which stations are closed in which blocks of a session, since when and by whom."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact
from mentor_training.planning.closed import REASONS, Spell, Turned, closed_in, spells
from mentor_training.planning.tables import Closing, StationClosing

Closed = dict[tuple[int, str], Turned]


def closed_stations(db: Session, session: SessionFact, known_at: datetime) -> Closed:
    """Return, by block and station, what closed it, as known at a moment."""
    blocks = [one.number for one in session.blocks]
    return closed_in((one for one in turned_in(db, session.code) if one.at <= known_at), blocks)


def closed_spells(db: Session, session: SessionFact, known_at: datetime) -> tuple[Spell, ...]:
    """Return when a session's stations are closed and why, as known at a moment."""
    reasons = {place: one.reason for place, one in closed_stations(db, session, known_at).items()}
    return spells(reasons, [one.number for one in session.blocks])


def frozen_spells(session: SessionFact, closing: Closing) -> tuple[Spell, ...]:
    """Return the same of a session that is over, as it was frozen; a floor frozen before says nothing of it."""
    reasons = {(one["block"], one["station"]): one["reason"] for one in closing.floor.get("closed", [])}
    return spells(reasons, [one.number for one in session.blocks])


def turned_in(db: Session, session: str) -> tuple[Turned, ...]:
    """Return every closing and opening of a session's stations, oldest first."""
    rows = db.scalars(select(StationClosing).where(StationClosing.session == session).order_by(StationClosing.number))
    return tuple(
        Turned(row.number, row.station, row.kind, row.from_block, row.reason, row.turned_at, row.turned_by)
        for row in rows
    )


def in_words(session: SessionFact, closed: Closed, names: Mapping[str, str]) -> dict[tuple[int, str], str]:
    """Return the same in words; times are those of the blocks, the program's own."""
    return {place: since_in_words(session, one.from_block, one.by, one.reason, names) for place, one in closed.items()}


def since_in_words(session: SessionFact, from_block: int, by: str, reason: str, names: Mapping[str, str]) -> str:
    """Say since which block and by whom a station is closed, and why."""
    block = session.block(from_block)
    since = f"since block {from_block}" + (f", {block.starts:%H:%M}" if block else "")
    return f"{since}, by {names.get(by, by)}; {REASONS.get(reason, reason)}"
