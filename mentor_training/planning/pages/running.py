"""The day as it runs: what has to be said before the doors open, and the floor by the clock."""

from __future__ import annotations

from collections.abc import Iterable

from flask import render_template

from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.by_clock import counted_in, moves, phase_of
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import board_of, with_shadows
from mentor_training.planning.queries.briefing import briefing_of
from mentor_training.planning.queries.coming import came_to, first_of, how_they_came
from mentor_training.planning.queries.plan import Plan, plan_for
from mentor_training.planning.queries.shadows import Shadowing, shadows_in


@pages.get("/sessions/<code>/briefing")
@guarded(Act.CHECK_IN)
def briefing(code: str) -> str:
    """Show, for the screen and for paper, who comes, and what is new or has to be said before the doors open.

    It names no need and no card's text; why a placement no longer holds is told the coordinator alone.
    """
    plan = _plan(code)
    said = briefing_of(db(), plan, now())
    open_blocks = sum(len(blocks) * len(those) for blocks, those in said.gaps)
    return render_template(
        "planning/briefing.html",
        session=plan.session,
        floor=plan.floor,
        board=with_shadows(board_of(plan, open_blocks), said.shadows, plan.floor.names),
        said=said,
        plans=me().may(Act.PLAN),
    )


@pages.get("/sessions/<code>/now")
@guarded(Act.CHECK_IN)
def running(code: str) -> str:
    """Show who is where with whom now, what changes next, and what comes later, by the clock."""
    plan, zone = _plan(code), instance().settings.zone
    phase = phase_of(plan.session, now().astimezone(zone))
    came, shown, shadows = came_to(db(), code), phase.shown, shadows_in(db(), plan)
    board = with_shadows(board_of(plan, 0), shadows, plan.floor.names)
    return render_template(
        "planning/now.html",
        session=plan.session,
        floor=plan.floor,
        phase=phase,
        clock=now(),
        rows=board.cells_in(shown.number) if shown else [],
        counted=counted_in(plan.placed, shown.number) if shown else None,
        free=_free(plan, shown.number, shadows) if shown else [],
        shadows=[one for one in shadows if shown and one.block == shown.number],
        moves=moves(plan.placed, phase.now.number, phase.next.number) if phase.now and phase.next else (),
        came=came if came or now() >= first_of(plan.session, zone) else None,
        how=how_they_came(plan.session, came, zone),
    )


def _plan(code: str) -> Plan:
    seen_session(code)
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    plan.gate.load_everybody()
    return plan


def _free(plan: Plan, block: int, shadows: Iterable[Shadowing]) -> list[str]:
    busy = {one.mentor for one in plan.placed if one.block == block}
    busy |= {one.person for one in shadows if one.block == block}
    busy |= {who for at, who in plan.floor.unavailable if at == block}
    return [who for who in plan.floor.volunteers if who not in busy]
