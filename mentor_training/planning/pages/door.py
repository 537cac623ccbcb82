"""The list at the door: who is expected and who is here, by one button each or by the code on a name tag."""

from __future__ import annotations

from flask import make_response, render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.queries import own_sessions
from mentor_training.clock import day_in
from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.coming import Arrival, arrive, check_out, expect, take_back
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.coming import came_to, counted, end_of, first_of, how_they_came
from mentor_training.planning.queries.plan import closing_of
from mentor_training.planning.tags import code_as_written, code_on_tag
from mentor_training.web.display import show_time
from mentor_training.web.protection import WITH_CAMERA


@pages.get("/sessions/<code>/check-in")
@guarded(Act.CHECK_IN)
def coming(code: str) -> Response:
    """Show who is expected and who is here, one big button each. It may use the camera, to scan name tags."""
    found = seen_session(code)
    zone, came = instance().settings.zone, came_to(db(), code)
    shown = render_template(
        "planning/check_in.html",
        session=found,
        came=came,
        here=counted(found, came),
        how=how_they_came(found, came, zone),
        names=names_of_all(db()),
        is_today=found.day == day_in(zone, now()),
        has_ended=now() >= end_of(found, zone),
        has_begun=now() >= first_of(found, zone),
        closing=closing_of(db(), code),
        tags=_tags(),
        just=request.args.get("just", ""),
        scans="scan" in request.args,
    )
    answer = make_response(shown)
    answer.headers["Permissions-Policy"] = WITH_CAMERA
    return answer


@pages.post("/sessions/<code>/check-in")
@guarded(Act.CHECK_IN)
def tag_submit(code: str) -> Response:
    """Check in whoever a tag, or a code typed from it, belongs to."""
    found, text = seen_session(code), request.form.get("tag", "")
    who, scans = code_on_tag(text, _tags()), request.form.get("scan") or None
    if not who:
        raise Refused("This is no name tag of this program. Scan another, or press a name in the list.")
    who = code_as_written(who, (*found.participants, *found.volunteers, *names_of_all(db())))
    kind = "participant" if who in found.participants else "volunteer"
    if who not in found.expected(kind):
        return done(url_for("planning.unexpected", code=code, who=who, scan=scans))
    arrival = arrive(db(), now(), me(), code, kind, who, instance().settings.zone)
    if scans:
        return done(url_for("planning.coming", code=code, scan=scans, just=who), _said(arrival))
    return _back(code, who, _said(arrival))


@pages.get("/sessions/<code>/check-in/unexpected/<who>")
@guarded(Act.CHECK_IN)
def unexpected(code: str, who: str) -> str:
    """Say that somebody at the door is not expected, and what can be done about it; to the coordinator with the name.

    Whom an observer does not see otherwise, the code on a tag does not show them either.
    """
    found, zone = seen_session(code), instance().settings.zone
    is_known = me().may(Act.PLAN)
    today = day_in(zone, now())
    return render_template(
        "planning/unexpected.html",
        session=found,
        who=who,
        name=names_of_all(db()).get(who, "") if is_known else "",
        others=[one for one in own_sessions(db(), me(), today) if one.day == today and who in one.volunteers],
        is_open=found.day == today and now() < end_of(found, zone) and not closing_of(db(), code),
        scans="scan" in request.args,
    )


@pages.post("/sessions/<code>/check-in/unexpected/<who>")
@guarded(Act.PLAN)
def expect_submit(code: str, who: str) -> Response:
    """Put a volunteer on the list of a session, and check them in."""
    zone = instance().settings.zone
    expect(db(), now(), me(), code, who)
    arrival = arrive(db(), now(), me(), code, "volunteer", who, zone)
    return done(url_for("planning.coming", code=code, _anchor=who), f"Expected from now on. {_said(arrival)}")


@pages.post("/sessions/<code>/check-in/<kind>/<who>")
@guarded(Act.CHECK_IN)
def check_in_submit(code: str, kind: str, who: str) -> Response:
    """Note that somebody came; pressed again, it says since when."""
    arrival = arrive(db(), now(), me(), code, kind, who, instance().settings.zone)
    return _back(code, who, _said(arrival))


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
    take_back(db(), now(), me(), code, kind, who, instance().settings.zone, request.form.get("seen", ""))
    return _back(code, who, f"Taken back for {_called(who)}.")


def _tags() -> str:
    """Return what the code on each name tag begins with."""
    return f"{instance().settings.address}/observe/"


def _said(arrival: Arrival) -> str:
    who, zone = _called(arrival.code), instance().settings.zone
    if arrival.left_at:
        return f"{who} left at {show_time(arrival.left_at, zone)}; take that back if they are here still."
    if arrival.is_new:
        return f"{who} is here."
    return f"{who} was checked in already, at {show_time(arrival.came_at, zone)} by {_called(arrival.checked_by)}."


def _called(who: str) -> str:
    return names_of_all(db()).get(who, who)


def _back(code: str, who: str, message: str) -> Response:
    return done(url_for("planning.coming", code=code, _anchor=who), message)
