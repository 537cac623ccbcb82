"""Closing a session, once the day is over."""

from __future__ import annotations

from typing import Any

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.closing import close, refuse_while_it_runs, what_closing_does
from mentor_training.planning.pages.blueprint import pages
from mentor_training.planning.queries.coming import came_to
from mentor_training.planning.queries.plan import closing_of, gaps_of, plan_for


@pages.get("/sessions/<code>/close")
@guarded(Act.PLAN)
def closing(code: str) -> str:
    """Show what closing will do, before it is done."""
    return _closing_page(code)


@pages.post("/sessions/<code>/close")
@guarded(Act.PLAN)
def close_submit(code: str) -> Response | tuple[str, int]:
    """Close a session; nothing about it changes afterwards."""
    try:
        close(db(), now(), me(), code, instance().settings.zone)
    except Refused as no:
        db().rollback()
        return _closing_page(code, refused=no.reasons), 422
    return done(url_for("planning.session", code=code), "Closed. The floor as it ran is kept, and hours are entered.")


def _closing_page(code: str, refused: tuple[str, ...] = ()) -> str:
    zone, plan = instance().settings.zone, plan_for(db(), code, now())
    came = came_to(db(), code)
    told: dict[str, Any] = {"reasons": refused}
    closed = closing_of(db(), code)
    if closed:
        told["reasons"] = refused or (f"Session {code} was closed already; closing it again would change nothing.",)
    else:
        try:
            refuse_while_it_runs(plan.session, came.values(), now(), zone)
        except Refused as no:
            told["reasons"] = refused or no.reasons
    return render_template(
        "planning/close.html",
        session=plan.session,
        ahead=what_closing_does(plan, came, zone),
        gaps=() if closed else gaps_of(plan),
        names=plan.floor.names,
        program=plan.program,
        can_close=not closed and not told["reasons"],
        **told,
    )
