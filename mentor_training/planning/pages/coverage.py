"""How far the coming sessions are covered: a picture and its table, by session, block and station."""

from __future__ import annotations

from flask import Response, render_template, request

from mentor_training.people.access import db, guarded, instance, now, today
from mentor_training.people.permissions import Act
from mentor_training.planning.coverage import PLANNED, STATES, in_words
from mentor_training.planning.pages.blueprint import own_sessions, pages
from mentor_training.planning.pictures import draw_coverage
from mentor_training.planning.queries.coverage import Coming, coming_coverage
from mentor_training.planning.queries.plan import closed_sessions
from mentor_training.web.as_of import current_as_of
from mentor_training.web.charts import BY_DAY, BY_NIGHT


@pages.get("/sessions/coverage")
@guarded(Act.CHECK_IN)
def coverage() -> str:
    """Show how many participant-blocks of the coming sessions are covered, where the gaps are and why."""
    found = _coming()
    planned = [one for one in found.sessions if one.state == PLANNED]
    return render_template(
        "planning/coverage.html",
        coming=found,
        description=in_words(found.sessions),
        states=STATES,
        covered=sum(one.covered for one in planned),
        expected=sum(one.expected for one in planned),
    )


@pages.get("/sessions/coverage.svg")
@guarded(Act.CHECK_IN)
def coverage_picture() -> Response:
    """Give the picture, by day or by night, for a desk or a phone."""
    found = _coming()
    colors = BY_NIGHT if request.args.get("night") else BY_DAY
    svg = draw_coverage(found.sessions, list(found.titles), colors, bool(request.args.get("phone")))
    return Response(svg, content_type="image/svg+xml")


def _coming() -> Coming:
    closed, day = closed_sessions(db()), today()
    coming = [one for one in own_sessions() if one.day >= day and one.code not in closed]
    known_at = current_as_of(now(), instance().settings.zone).known_at or now()
    return coming_coverage(db(), coming, known_at)
