"""The best plan that is found for a session: shown with how good it is, and stored when it is accepted."""

from __future__ import annotations

import json
from collections.abc import Iterable

from flask import render_template, request, url_for
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.placing import accept
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.gaps import by_participant
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.board import board_of
from mentor_training.planning.queries.plan import gaps_of, plan_for, with_more
from mentor_training.planning.rules import Placed
from mentor_training.planning.solver.search import best_plan

# How many seconds a coordinator may give it; the first is what the page takes by itself.
SECONDS = (10, 30, 60)
KINDS: dict[str, tuple[type, ...]] = {
    "block": (int,), "station": (str,), "mentor": (str,), "role": (str,), "participant": (str, type(None)),
}  # fmt: skip


@pages.get("/sessions/<code>/proposal")
@guarded(Act.PLAN)
def proposal(code: str) -> str:
    """Look for the best plan, and show it with how good it is and what it leaves open; nothing is stored."""
    found = seen_session(code)
    still_open(db(), code)
    chosen = request.args.get("seconds", type=int)
    seconds = chosen if chosen in SECONDS else SECONDS[0]
    plan = plan_for(db(), code, now())
    plan.gate.load_everybody()
    best = best_plan(question_of(db(), plan, now()), seconds)
    shown = with_more(plan, best.added)
    gaps = gaps_of(shown)
    return render_template(
        "planning/proposal.html",
        session=found,
        best=best,
        board=board_of(shown, len(gaps)),
        plan=shown,
        uncovered=by_participant(gaps),
        written=written(best.added),
        seconds=seconds,
        offered=SECONDS,
    )


@pages.post("/sessions/<code>/proposal")
@guarded(Act.PLAN)
def accept_submit(code: str) -> Response | tuple[str, int]:
    """Store a plan that was shown; every rule is asked again of each placement."""
    proposed = read_placements(request.form.get("plan", ""))
    try:
        added = accept(db(), now(), me(), code, proposed)
    except Refused as no:
        db().rollback()
        return render_template("planning/not_stored.html", session=seen_session(code), reasons=no.reasons), 422
    return done(url_for("planning.session", code=code), f"{len(added)} placements stored; whoever was placed stayed.")


def written(placed: Iterable[Placed]) -> str:
    """Return placements as a page carries them."""
    return json.dumps([{name: getattr(one, name) for name in KINDS} for one in placed], separators=(",", ":"))


def read_placements(text: str) -> tuple[Placed, ...]:
    """Return the placements that a page carries; refuse what it cannot have written. Levels are asked anew."""
    try:
        found = [Placed(**row, level=0) for row in json.loads(text)]
    except (ValueError, TypeError, RecursionError):
        found = []
    if not found or not all(_can_be_written(getattr(one, name), name) for one in found for name in KINDS):
        raise BadRequest("The plan that was sent cannot be read; propose it again.")
    return tuple(found)


def _can_be_written(value: object, name: str) -> bool:
    """Say whether a value is of its kind, and no text that a database cannot hold: NUL, half a character."""
    if type(value) not in KINDS[name]:
        return False
    return not isinstance(value, str) or not any(sign == "\0" or "\ud800" <= sign <= "\udfff" for sign in value)
