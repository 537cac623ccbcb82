"""Closing a session: who came is evidence from then on, hours are entered, and the floor as it ran is frozen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from mentor_training.calendar.rules import SessionFact, day_in_words
from mentor_training.errors import Refused
from mentor_training.evidence.actions import record
from mentor_training.evidence.facts import ATTENDED, PRACTICED
from mentor_training.hours.actions import enter_session
from mentor_training.journal.actions import write
from mentor_training.journal.chain import canonical, digest
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.queries.closed import Closed, closed_stations
from mentor_training.planning.queries.coming import Came, Stay, came_to, end_of, moment_of
from mentor_training.planning.queries.plan import Plan
from mentor_training.planning.queries.shadows import shadows_in
from mentor_training.planning.rules import Placed
from mentor_training.planning.tables import Closing

FORGOTTEN = "no check-out; closed at the session's end"
ELSEWHERE = "no check-out in time; closed when they came to another session"


@dataclass(frozen=True)
class ClosingPlan:
    """What closing a session will do: whose time is entered, who practiced what, who was absent."""

    stays: tuple[Stay, ...]
    practiced: tuple[tuple[str, str], ...]
    absent: tuple[str, ...]

    @property
    def volunteers(self) -> tuple[Stay, ...]:
        """Return the stays of volunteers."""
        return tuple(one for one in self.stays if one.kind == "volunteer")

    @property
    def flagged(self) -> tuple[Stay, ...]:
        """Return the volunteers whose stay asks for a look."""
        return tuple(one for one in self.volunteers if one.flag)


def close(db: Session, at: datetime, by: Actor, session: str, zone: ZoneInfo) -> Closing:
    """Close a session, once; nothing about it changes afterwards.

    Each volunteer who came gets `attended`, hours from check-in to check-out, and `practiced` for the skills of the
    stations where they worked. Refused while the session runs and somebody is still there.
    """
    plan = open_plan(db, at, session)
    came = came_to(db, session)
    refuse_while_it_runs(plan.session, came.values(), at, zone)
    ahead = what_closing_does(plan, came, zone)
    _record(db, at, by, plan, ahead, zone)
    shadows = [asdict(one) for one in shadows_in(db, plan)]
    floor = frozen_floor(plan, ahead) | {"closed": _closed(closed_stations(db, plan.session, at)), "shadows": shadows}
    row = Closing(session=session, closed_at=at, closed_by=by.code, floor=floor)
    db.add(row)
    db.flush()
    told = {"came": len(ahead.stays), "placements": len(plan.standing), "edition": plan.edition.number}
    write(db, at, by.code, "closed", session, told | {"floor": "sha256:" + digest(canonical(floor))})
    return row


def refuse_while_it_runs(session: SessionFact, came: Iterable[Came], at: datetime, zone: ZoneInfo) -> None:
    """Refuse to close a session before it has begun, or before its end while somebody is still there."""
    if at < moment_of(zone, session.day, session.starts):
        when = f"{day_in_words(session.day)} at {session.starts:%H:%M}"
        raise Refused(f"Session {session.code} has not begun; it starts on {when}.")
    there = sorted(one.code for one in came if one.left_at is None)
    if there and at < end_of(session, zone):
        raise Refused(f"It runs until {session.ends:%H:%M}. Close it then, or check out first: {', '.join(there)}.")


def what_closing_does(plan: Plan, came: dict[tuple[str, str], Came], zone: ZoneInfo) -> ClosingPlan:
    """Return what closing will do; nothing is stored.

    A forgotten check-out counts to the session's end, flagged; a stay ends, flagged, when they came to another session.
    Who is no longer cleared where they were placed has practiced nothing there. Rules of this program.
    """
    stays = {key: stay_of(plan.session, one, zone) for key, one in came.items()}
    practiced = sorted(
        {
            (one.mentor, skill)
            for one in plan.placed
            if one.level and has_worked(plan.session, one, stays, zone)
            for skill in plan.practices_at(one.station)
        }
    )
    absent = (
        code
        for kind in ("participant", "volunteer")
        for code in plan.session.expected(kind)
        if (kind, code) not in came
    )
    return ClosingPlan(tuple(stays[key] for key in sorted(stays)), tuple(practiced), tuple(absent))


def stay_of(session: SessionFact, one: Came, zone: ZoneInfo) -> Stay:
    """Return from when to when somebody was there; see `what_closing_does`."""
    left_at = one.left_at or max(one.came_at, end_of(session, zone))
    if one.elsewhere_at and one.elsewhere_at < left_at:
        return Stay(one.kind, one.code, one.came_at, one.elsewhere_at, ELSEWHERE)
    return Stay(one.kind, one.code, one.came_at, left_at, "" if one.left_at else FORGOTTEN)


def has_worked(session: SessionFact, one: Placed, stays: dict[tuple[str, str], Stay], zone: ZoneInfo) -> bool:
    """Say whether somebody worked in a block: they, and the participant they were with, were there during a part of it.

    A rule of this program: a pairing on paper is no practice.
    """
    block = session.block(one.block)
    present = [stays.get(("volunteer", one.mentor))]
    if one.participant:
        present.append(stays.get(("participant", one.participant)))
    if block is None:
        return False
    starts, ends = (moment_of(zone, session.day, edge) for edge in (block.starts, block.ends))
    return all(stay is not None and stay.came_at < ends and stay.left_at > starts for stay in present)


def _record(db: Session, at: datetime, by: Actor, plan: Plan, ahead: ClosingPlan, zone: ZoneInfo) -> None:
    session = plan.session
    refusals: list[str] = []
    for stay in ahead.volunteers:
        record(db, at, by.code, stay.code, ATTENDED, session.code, session.day)
        times = (stay.came_at.astimezone(zone), stay.left_at.astimezone(zone))
        try:
            enter_session(db, at, by.code, stay.code, session.code, session.day, *times, stay.flag)
        except Refused as no:
            refusals.extend(f"{plan.floor.call(stay.code)}: {reason}" for reason in no.reasons)
    if refusals:
        raise Refused(*refusals)
    for person, skill in ahead.practiced:
        record(db, at, by.code, person, PRACTICED, skill, session.day)


def frozen_floor(plan: Plan, ahead: ClosingPlan) -> dict[str, Any]:
    """Return the floor as it ran, in codes: who came, who was placed where, and every clearance as it stood."""
    session = plan.session
    return {
        "session": session.code,
        "day": session.day.isoformat(),
        "edition": plan.edition.number,
        "blocks": [{"block": one.number, "starts": str(one.starts), "ends": str(one.ends)} for one in session.blocks],
        "came": [
            {
                "kind": stay.kind, "code": stay.code, "came_at": stay.came_at.isoformat(),
                "left_at": stay.left_at.isoformat(), "flag": stay.flag,
            }
            for stay in ahead.stays
        ],
        "absent": list(ahead.absent),
        "placements": [_frozen(plan, one.placed) for one in plan.standing],
    }  # fmt: skip


def _closed(closed: Closed) -> list[dict[str, Any]]:
    return [
        {"block": block, "station": station, "from_block": one.from_block, "by": one.by, "reason": one.reason}
        for (block, station), one in sorted(closed.items())
    ]


def _frozen(plan: Plan, placed: Placed) -> dict[str, Any]:
    told = {
        "block": placed.block,
        "station": placed.station,
        "mentor": placed.mentor,
        "role": placed.role,
        "participant": placed.participant,
        "level_when_placed": int(placed.level),
    }
    if placed.station not in plan.program.stations or (placed.block, placed.station) in plan.floor.closed:
        return told | {"level": 0, "holds_through": None, "records": [], "lacking": list(plan.lacks(placed))}
    decision = plan.decide(placed.mentor, placed.station, placed.participant)
    return told | {
        "level": int(decision.level),
        "holds_through": decision.holds_through.isoformat() if decision.holds_through else None,
        "records": sorted({span.record for span in decision.met}),
        "lacking": list(plan.lacks(placed)) if decision.level < placed.level else [],
    }
