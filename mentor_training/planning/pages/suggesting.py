"""What to observe next: whom at which skill, and how many participant-blocks of coming sessions it opens."""

from __future__ import annotations

from flask import render_template, request

from mentor_training.observing.queries.floor import volunteers_before
from mentor_training.people.access import db, guarded, instance, me, now, today
from mentor_training.people.permissions import Act
from mentor_training.planning.exports import GREEDY, PROVEN
from mentor_training.planning.pages.blueprint import own_sessions, pages
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.suggesting import occasion_for, suggested
from mentor_training.planning.suggestions import MINUTES_EACH
from mentor_training.program.queries import require_edition

MOST_MINUTES = 1440


@pages.get("/sessions/observe-next")
@guarded(Act.SEE_OBSERVATIONS)
def observe_next() -> str:
    """Show whom to observe next; to an observer of the own sessions, and with volunteers whom they may see."""
    wished = request.args.get("minutes", type=int)
    minutes = wished if wished is not None and 0 <= wished <= MOST_MINUTES else None
    visible = None if me().may(Act.PLAN) else {row.code for row in volunteers_before(db(), me(), today())}
    own = {one.code for one in own_sessions()}
    occasion = occasion_for(db(), now(), instance().settings.zone, (), minutes, own)
    suggestions = suggested(db(), occasion, MINUTES_EACH, now(), visible)
    return render_template(
        "planning/observe_next.html",
        occasion=occasion,
        found=suggestions.found,
        ready=suggestions.ready,
        each=MINUTES_EACH,
        minutes=max(occasion.minutes.values(), default=0),
        names=names_of_all(db()),
        skills=require_edition(db(), occasion.day, now()).program.skills if suggestions.found.lines else {},
        label=PROVEN if suggestions.found.is_proven else GREEDY,
    )
