"""Who was cleared then, as known then: for stations, and for the floor of a closed session as it ran."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.clearance.hindsight import Hindsight
from mentor_training.clearance.queries import gate_at
from mentor_training.clearance.questions import TwoGates
from mentor_training.errors import NotFound
from mentor_training.planning.queries.plan import closing_of
from mentor_training.planning.tables import Closing
from mentor_training.program.catalog import Level


@dataclass(frozen=True)
class Placed:
    """A placement of a session as it ran: in which blocks, as what, and the level that was frozen with it."""

    blocks: tuple[int, ...]
    role: str
    frozen: Level


@dataclass(frozen=True)
class Row:
    """A level looked back on; with the placement that it stood for, where a session is asked about."""

    found: Hindsight
    placed: Placed | None = None


def end_of_day(day: date, zone: ZoneInfo, now: datetime) -> datetime:
    """Return the last moment of a day in the program's zone; now, where the day is not over."""
    midnight = datetime.combine(day + timedelta(days=1), time(), zone)
    return min(midnight - timedelta(microseconds=1), now)


def two_gates(db: Session, known_at: datetime, now: datetime) -> TwoGates:
    """Open the gate as known then and as known now."""
    return TwoGates(gate_at(db, known_at), gate_at(db, now))


def rows_at(
    gates: TwoGates, people: Sequence[str], stations: Iterable[str], on: date, most: int | None = None
) -> tuple[Row, ...]:
    """Look back on some volunteers at some stations, by volunteer and then by station; with so many reasons at most."""
    return tuple(Row(one) for one in gates.look_back_on_all(people, tuple(stations), on, most))


def known_station(gates: TwoGates, on: date, station: str | None) -> tuple[str, ...]:
    """Return the station asked about, or all there are on a day; an unknown one is not found."""
    stations = gates.stations(on)
    if station is not None and station not in stations:
        raise NotFound(f"station {station} on {on}; there are {', '.join(stations) or 'none'}")
    return (station,) if station is not None else stations


def closed_sessions(db: Session) -> list[tuple[SessionFact, datetime]]:
    """Return the sessions that were closed, with the moment of their closing, the newest first."""
    found = [(session_for(db, row.session), row.closed_at) for row in db.scalars(select(Closing))]
    return sorted(found, key=lambda one: (one[0].day, one[0].starts), reverse=True)


def closing_for(db: Session, session: str) -> Closing:
    """Return the closing of a session; one that has not been closed has no floor as it ran."""
    session_for(db, session)
    found = closing_of(db, session)
    if found is None:
        raise NotFound(f"floor of session {session} as it ran: it has not been closed")
    return found


def rows_of_floor(gates: TwoGates, closing: Closing, on: date, person: str | None = None) -> tuple[Row, ...]:
    """Look back on each placement of a session's floor as it ran, those of several blocks together.

    In the order of the stations of the floor, then of the volunteers.
    """
    together: dict[tuple[str, str, str | None, str, int], list[int]] = {}
    for one in closing.floor["placements"]:
        if person in (None, one["mentor"]):
            together.setdefault(_key(one), []).append(one["block"])
    if len(together) > 1:
        gates.load_everybody()
    return tuple(
        Row(gates.look_back(mentor, station, participant, on), Placed(tuple(blocks), role, Level(frozen)))
        for (station, mentor, participant, role, frozen), blocks in together.items()
    )


def _key(one: dict[str, Any]) -> tuple[str, str, str | None, str, int]:
    return (one["station"], one["mentor"], one["participant"], one["role"], one["level"])


def participants_on(closing: Closing) -> tuple[str, ...]:
    """Return the participants who were with somebody on the floor as it ran."""
    return tuple(sorted({one["participant"] for one in closing.floor["placements"] if one["participant"]}))
