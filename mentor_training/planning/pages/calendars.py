"""Sessions as calendar files: all that concern somebody, and everybody's own at a private address."""

from __future__ import annotations

from datetime import date, timedelta

from flask import Response as FileResponse
from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.actions import end_feed, make_feed
from mentor_training.calendar.exports import Issuer, sessions_as_calendar
from mentor_training.calendar.queries import feed_of, last_changes, own_sessions, whose_feed
from mentor_training.people.access import db, done, guarded, instance, me, now, public, settle, today
from mentor_training.people.permissions import Act, Actor
from mentor_training.planning.pages.blueprint import pages

# A feed goes back this far, so that it does not grow for ever; the file goes back to the beginning.
FEED_DAYS_BACK = 183


@pages.get("/sessions/calendar")
@guarded(Act.SEE_SESSIONS)
def calendar() -> str:
    """Show where one's own sessions are to be had as a calendar."""
    return render_template("planning/calendar.html", feed=feed_of(db(), me().code), address=None)


@pages.get("/sessions.ics")
@guarded(Act.SEE_SESSIONS)
def sessions_calendar() -> FileResponse:
    """Give the sessions that concern the signed-in person as a calendar file; the coordinator gets all."""
    answer = _calendar(me(), None)
    answer.headers["Content-Disposition"] = "attachment; filename=sessions.ics"
    return answer


@pages.post("/sessions/calendar")
@guarded(Act.SEE_SESSIONS)
def make_submit() -> str:
    """Make a private address, or a new one in place of the old, and show it this once."""
    token = make_feed(db(), now(), me())
    address = instance().settings.address + url_for("planning.feed", token=token)
    settle()
    return render_template("planning/calendar.html", feed=feed_of(db(), me().code), address=address)


@pages.post("/sessions/calendar/end")
@guarded(Act.SEE_SESSIONS)
def end_submit() -> Response:
    """End the private address."""
    ended = end_feed(db(), now(), me())
    words = "The address is ended; it opens nothing any more." if ended else "There was no address."
    return done(url_for("planning.calendar"), words)


@pages.get("/calendar/<token>.ics")
@public
def feed(token: str) -> Response:
    """Give somebody's own sessions to whoever has the address, without a name or a need of anybody in it."""
    answer = _calendar(whose_feed(db(), token), today() - timedelta(days=FEED_DAYS_BACK))
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.add_etag()
    return answer.make_conditional(request)


def _calendar(person: Actor, since: date | None) -> FileResponse:
    settings = instance().settings
    issuer = Issuer(settings.title, settings.address, settings.zone, settings.place)
    page = "sessions/{}" if person.may(Act.CHECK_IN) else "pairing"
    found = own_sessions(db(), person, since)
    text = sessions_as_calendar(found, issuer, f"sessions/of/{person.code}", page, last_changes(db()))
    return FileResponse(text, mimetype="text/calendar")
