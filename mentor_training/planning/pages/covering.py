"""Who is checked in and could step in where somebody is missing in a block, for a coordinator on the floor."""

from __future__ import annotations

from flask import render_template, request

from mentor_training.errors import NotFound
from mentor_training.participants.actions import look
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.covering import AT_ONCE, ELSEWHERE, NOT_CLEARED, WAITS
from mentor_training.planning.exports import at_in_words, opening_in_words
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.covering import AtHand, Covered, all_covered, at_hand, covered, opening_asked
from mentor_training.planning.queries.pairings import cards_out
from mentor_training.planning.queries.plan import Plan, plan_for
from mentor_training.planning.rules import LEAD

# So many of those who are not cleared stand on the page at once; the others are folded away.
SHOWN = 5
GROUPS = {
    AT_ONCE: "Could be placed at once",
    WAITS: "Cleared and free, but not as the plan stands",
    ELSEWHERE: "Cleared, and placed elsewhere in this block",
    NOT_CLEARED: "Not cleared, what lacks least first",
}


@pages.get("/sessions/<code>/blocks/<int:number>/cover")
@guarded(Act.PLAN)
def cover(code: str, number: int) -> str:
    """Show what is open in a block, or, for one opening, who could step in: nearest first, with what each lacks."""
    seen_session(code)
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    plan.gate.load_everybody()
    here = at_hand(db(), plan)
    participant, station = request.args.get("participant", ""), request.args.get("station", "")
    if not participant and not station:
        return _all_page(plan, here, number)
    opening = opening_asked(plan, number, participant, station, request.args.get("role") == LEAD)
    if participant:
        _look_at(participant, code)
    return _one_page(plan, here, covered(plan, here, opening))


def _all_page(plan: Plan, here: AtHand, number: int) -> str:
    """Name who is nearest, and not what anybody lacks: that is a look at a participant's needs."""
    found = all_covered(plan, here, number)
    return render_template(
        "planning/cover_all.html",
        session=plan.session,
        block=plan.session.block(number),
        found=[(opening_in_words(plan.floor, one), one) for one in found],
        here=here,
        names=plan.floor.names,
        titles={slug: plan.floor.title(slug) for slug in plan.floor.stations},
    )


def _one_page(plan: Plan, here: AtHand, found: Covered) -> str:
    return render_template(
        "planning/cover.html",
        session=plan.session,
        block=plan.session.block(found.opening.block),
        what=opening_in_words(plan.floor, found),
        opening=found.opening,
        found=found,
        groups=[(kind, title, [one for one in found.covers if one.nearness == kind]) for kind, title in GROUPS.items()],
        where={one.mentor: at_in_words(plan.floor, one.at) for one in found.covers if one.at is not None},
        here=here,
        names=plan.floor.names,
        titles={slug: plan.floor.title(slug) for slug in plan.floor.stations},
        handed=cards_out(db(), plan.session.code),
        shown=SHOWN,
    )


def _look_at(participant: str, session: str) -> None:
    """Have the journal keep the look: what somebody lacks with a participant tells of their needs."""
    if not me().may(Act.SEE_PARTICIPANTS):
        raise NotFound("such a page for you; a pairing is shown with its session")
    with instance().database.writing() as short:
        look(short, instance().now(), me(), participant, f"cover in {session}")
