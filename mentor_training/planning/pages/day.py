"""The day itself: checking people in and out, and closing the session."""

from __future__ import annotations

from typing import Any

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.closing import close, refuse_while_it_runs, what_closing_does
from mentor_training.planning.actions.coming import check_in, check_out, take_back
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.coming import came_to, counted, end_of
from mentor_training.planning.queries.plan import closing_of, gaps_of, plan_for


@pages.get("/sessions/<code>/check-in")
@guarded(Act.CHECK_IN)
def coming(code: str) -> str:
    """Show who is expected and who is here, one big button each."""
    found = seen_session(code)
    zone, came = instance().settings.zone, came_to(db(), code)
    return render_template(
        "planning/check_in.html",
        session=found,
        came=came,
        here=counted(found, came),
        names=names_of_all(db()),
        is_today=found.day == day_in(zone, now()),
        has_ended=now() >= end_of(found, zone),
        closing=closing_of(db(), code),
    )


@pages.post("/sessions/<code>/check-in/<kind>/<who>")
@guarded(Act.CHECK_IN)
def check_in_submit(code: str, kind: str, who: str) -> Response:
    """Note that somebody came."""
    check_in(db(), now(), me(), code, kind, who, instance().settings.zone)
    return _back(code, who, f"{_called(who)} is here.")


@pages.post("/sessions/<code>/check-out/<kind>/<who>")
@guarded(Act.CHECK_IN)
def check_out_submit(code: str, kind: str, who: str) -> Response:
    """Note that somebody left."""
    check_out(db(), now(), me(), code, kind, who, instance().settings.zone)
    return _back(code, who, f"{_called(who)} has left.")


@pages.post("/sessions/<code>/take-back/<kind>/<who>")
@guarded(Act.CHECK_IN)
def take_back_submit(code: str, kind: str, who: str) -> Response:
    """Take back what was noted by mistake."""
    take_back(db(), now(), me(), code, kind, who, instance().settings.zone)
    return _back(code, who, f"Taken back for {_called(who)}.")


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


def _called(who: str) -> str:
    return names_of_all(db()).get(who, who)


def _back(code: str, who: str, message: str) -> Response:
    return done(url_for("planning.coming", code=code, _anchor=who), message)


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
