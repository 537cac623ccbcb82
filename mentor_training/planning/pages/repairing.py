"""A plan mended on the day: who is missing is ticked, what would change is shown, and then it is stored."""

from __future__ import annotations

from collections.abc import Sequence

from flask import render_template, request, url_for
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.repairing import Shut, accept_repair
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.by_clock import phase_of
from mentor_training.planning.closed import REASONS
from mentor_training.planning.gaps import by_participant
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.pages.carrying import read_placements, written
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.closed import closed_spells
from mentor_training.planning.queries.covering import at_hand
from mentor_training.planning.queries.plan import Plan, gaps_of, plan_for, without_and_with
from mentor_training.planning.queries.supposing import with_closed
from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.repairing import Missing, Repair, repair


@pages.get("/sessions/<code>/repair")
@guarded(Act.PLAN)
def mend(code: str) -> str:
    """Ask who is missing; once that is said, show what would change. Nothing is stored."""
    found = seen_session(code)
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    plan.gate.load_everybody()
    if "from_block" not in request.args:
        return _page(plan, _not_here(plan), frozenset(), _first_ahead(plan))
    absent, closed = frozenset(request.args.getlist("absent")), frozenset(request.args.getlist("closed"))
    first = request.args.get("from_block", found.blocks[0].number, type=int)
    mended = repair(
        question_of(db(), plan, now()), Missing(absent, closed), [one for one in plan.floor.blocks if one >= first]
    )
    return _page(plan, absent, closed, first, mended)


@pages.post("/sessions/<code>/repair")
@guarded(Act.PLAN)
def mend_submit(code: str) -> Response | tuple[str, int]:
    """Store what was shown; every rule is asked again."""
    removed, added = (_read(request.form.get(name, "")) for name in ("removed", "added"))
    shut = _shut()
    if not removed and not added and not shut.stations:
        raise BadRequest("The change that was sent cannot be read; mend the plan again.")
    try:
        accept_repair(db(), now(), me(), code, removed, added, shut)
    except Refused as no:
        db().rollback()
        return render_template("planning/not_stored.html", session=seen_session(code), reasons=no.reasons), 422
    said = f"The plan is mended: {len(removed)} taken out, {len(added)} placed."
    return done(url_for("planning.session", code=code), said)


def _shut() -> Shut:
    """Return what is to be closed in the same step: shown in the form, and refused by the act where it cannot be."""
    closed = frozenset(request.values.getlist("closed"))
    return Shut(closed, request.values.get("from_block", 0, type=int), request.values.get("why", "other"))


def _read(text: str) -> tuple[Placed, ...]:
    return () if text == "[]" else read_placements(text)


def _not_here(plan: Plan) -> frozenset[str]:
    """Return who is placed and has not come, once anybody has; and who says that they cannot come at all."""
    here = at_hand(db(), plan)
    placed = {code for one in plan.placed for code in (one.mentor, one.participant) if code}
    gone = {who for who in placed if len(plan.attending.blocks_without(who)) == len(plan.floor.blocks)}
    return frozenset(gone | (placed - here.volunteers - here.participants if here.have_come else set()))


def _first_ahead(plan: Plan) -> int:
    """Return the block that runs or comes next, for what ran is not mended; the first where all are over."""
    shown = phase_of(plan.session, now().astimezone(instance().settings.zone)).shown
    return shown.number if shown else plan.floor.blocks[0]


def _page(
    plan: Plan, absent: frozenset[str], closed: frozenset[str], first: int, mended: Repair | None = None
) -> str:  # fmt: skip
    why, shut = request.args.get("why", "other"), closed_spells(db(), plan.session, now())
    shown = with_closed(without_and_with(plan, mended.removed, mended.added), closed, first, why) if mended else None
    gaps = gaps_of(shown) if shown else ()
    return render_template(
        "planning/repair.html",
        session=plan.session,
        plan=plan,
        volunteers=_called(plan, {one.mentor for one in plan.placed}),
        participants=_called(plan, {one.participant for one in plan.placed if one.participant}),
        stations=[(slug, plan.floor.title(slug)) for slug in plan.floor.places if not _is_shut(plan, slug, first)],
        shut=[(plan.floor.title(one.station), one.in_words(plan.floor.blocks)) for one in shut],
        absent=absent,
        closed=closed,
        why=why,
        reasons=REASONS.items(),
        first=first,
        mended=mended,
        changes=_by_block(mended) if mended else [],
        uncovered=by_participant(gap for gap in gaps if gap.block >= first and gap.participant not in absent),
        removed=written(mended.removed) if mended else "",
        added=written(mended.added) if mended else "",
    )


def _is_shut(plan: Plan, station: str, first: int) -> bool:
    """Say whether a station is closed already in all the blocks that are mended."""
    return all((block, station) in plan.floor.closed for block in plan.floor.blocks if block >= first)


def _called(plan: Plan, codes: set[str]) -> list[tuple[str, str]]:
    return sorted(((code, plan.floor.call(code)) for code in codes), key=lambda one: (one[1], one[0]))


def _by_block(mended: Repair) -> list[tuple[int, Sequence[Placed], Sequence[Placed]]]:
    def in_block(block: int, placed: Sequence[Placed]) -> list[Placed]:
        return [one for one in placed if one.block == block]

    blocks = sorted({one.block for one in (*mended.removed, *mended.added)})
    return [(block, in_block(block, mended.removed), in_block(block, mended.added)) for block in blocks]
