"""Storing a plan as it was mended: who is taken out and who is placed, all of it or nothing."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from mentor_training.errors import Refused
from mentor_training.people.permissions import Actor
from mentor_training.planning.actions.closing_stations import close_station
from mentor_training.planning.actions.placing import CHANGED_SINCE, store, take_out
from mentor_training.planning.actions.turn import open_plan
from mentor_training.planning.queries.plan import Plan, Standing
from mentor_training.planning.rules import LEAD, Placed, leads_lacking, refusals, unsupervised
from mentor_training.program.catalog import Level


@dataclass(frozen=True)
class Shut:
    """Stations that are closed from a block on, and why."""

    stations: frozenset[str]
    from_block: int
    reason: str


def accept_repair(
    db: Session, at: datetime, by: Actor, session: str, removed: Sequence[Placed], added: Sequence[Placed],
    shut: Shut | None = None,
) -> None:  # fmt: skip
    """Store what a repair changes; refused where the plan or a clearance has changed since, or a rule would be broken.

    Each placement is asked as `place` asks, leads first, with the levels of now. The stations that are closed, `shut`,
    are closed in the same step.
    """
    for station in sorted(shut.stations) if shut else ():
        close_station(db, at, by, session, station, shut.from_block if shut else 0, shut.reason if shut else "")
    plan = open_plan(db, at, session)
    plan.gate.load_everybody()
    gone = [_standing(plan, one) for one in removed]
    try:
        change(db, at, by, plan, gone, added)
    except Refused as no:
        raise Refused(CHANGED_SINCE, *no.reasons) from None


def change(
    db: Session, at: datetime, by: Actor, plan: Plan, gone: Collection[Standing], added: Sequence[Placed]
) -> None:
    """Take some out of a plan at hand and place others, all of it or nothing; whoever calls has taken their turn.

    Refused with every rule that the whole would break then.
    """
    left = [now for one, now in zip(plan.standing, plan.placed, strict=True) if one not in gone]
    new, broken = _placed_anew(plan, left, added)
    broken += _left_without(plan, left, new, {one.placed.block for one in gone})
    if broken:
        raise Refused(*dict.fromkeys(broken))
    for one in gone:
        take_out(db, at, by, plan.session.code, one)
    for placed in new:
        store(db, at, by, plan.session.code, placed)


def _standing(plan: Plan, gone: Placed) -> Standing:
    """Return the placement that is to go, whatever its level is now."""
    for one in plan.standing:
        if replace(one.placed, level=0) == replace(gone, level=0):
            return one
    raise Refused(CHANGED_SINCE, f"{plan.floor.call(gone.mentor)} is no longer placed in block {gone.block} as shown.")


def _placed_anew(plan: Plan, left: Sequence[Placed], added: Sequence[Placed]) -> tuple[list[Placed], list[str]]:
    """Return who is placed, with the levels of now, and every rule that the whole would break."""
    whole, new, broken = list(left), list[Placed](), list[str]()
    for one in sorted(added, key=lambda one: one.role != LEAD):
        now = replace(one, level=plan.level_now(one))
        broken += refusals(plan.floor, whole, now, _lacks(plan, now))
        whole.append(now)
        new.append(now)
    return new, broken


def _left_without(plan: Plan, left: Sequence[Placed], new: Sequence[Placed], blocks: set[int]) -> list[str]:
    """Return where a lead would be lacking in the whole who is not lacking now, also where only somebody goes."""
    whole = [*left, *new]
    lacking = leads_lacking(plan.floor, whole).keys() - leads_lacking(plan.floor, plan.placed).keys()
    broken = [f"{plan.floor.title(slug)} would lack a lead in block {block}." for block, slug in sorted(lacking)]
    before = {one for one in plan.placed if unsupervised(plan.floor, plan.placed, one)}
    here = [one for one in whole if one.block in blocks | {one.block for one in new} and one not in before]
    return broken + [reason for one in here for reason in unsupervised(plan.floor, whole, one)]


def _lacks(plan: Plan, now: Placed) -> tuple[str, ...]:
    """Return what is said against somebody whose level is too low for what they are to do."""
    least = Level.LEAD if now.role == LEAD else Level.SUPERVISED
    return plan.lacks(now) if now.level < least else ()
