"""Stations closed during a session: since when and by whom; closed from a block on, opened by one press."""

from __future__ import annotations

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import Refused
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.closing_stations import close_station, open_station
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.by_clock import phase_of
from mentor_training.planning.closed import REASONS, blocks_closed
from mentor_training.planning.day_forms import StationForm
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.closed import turned_in
from mentor_training.planning.queries.plan import Plan, plan_for


@pages.get("/sessions/<code>/closed")
@guarded(Act.PLAN)
def closed_now(code: str) -> str:
    """Show which stations are closed, and offer to close one."""
    seen_session(code)
    return _closed_page(code, StationForm(formdata=None))


@pages.post("/sessions/<code>/closed")
@guarded(Act.PLAN)
def closed_submit(code: str) -> Response | tuple[str, int]:
    """Close a station, or say every reason why not."""
    form = StationForm()
    if not form.validate_on_submit():
        return _closed_page(code, form), 422
    try:
        first = request.form.get("from_block", 0, type=int)
        close_station(db(), now(), me(), code, form.station.data or "", first, form.why.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _closed_page(code, form), 422
    return done(url_for("planning.closed_now", code=code), "Closed. Nobody is placed there any more.")


@pages.post("/sessions/<code>/closed/<slug>/open")
@guarded(Act.PLAN)
def open_submit(code: str, slug: str) -> Response:
    """Open a station again, from the block that was shown."""
    open_station(db(), now(), me(), code, slug, request.form.get("from_block", 0, type=int))
    return done(url_for("planning.closed_now", code=code), "Open again.")


def _closed_page(code: str, form: StationForm) -> str:
    session = seen_session(code)
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    first = _first_ahead(plan)
    form.station.choices = [("", "Choose a station"), *((slug, plan.floor.title(slug)) for slug in plan.floor.stations)]
    form.from_block.choices = [(str(one.number), f"{one.number}, {one.starts:%H:%M}") for one in session.blocks]
    form.why.choices = list(REASONS.items())
    form.from_block.data = form.from_block.data or str(first)
    shut = [slug for slug in plan.floor.stations if blocks_closed(plan.floor.closed, slug)]
    return render_template(
        "planning/closed.html",
        session=session,
        floor=plan.floor,
        form=form,
        shut=[(slug, blocks_closed(plan.floor.closed, slug)) for slug in shut],
        first=first,
        placed=sum((one.placed.block, one.placed.station) in plan.floor.closed for one in plan.standing),
        turned=turned_in(db(), code),
    )


def _first_ahead(plan: Plan) -> int:
    """Return the block that runs or comes next; the last one once all are over."""
    shown = phase_of(plan.session, now().astimezone(instance().settings.zone)).shown
    return shown.number if shown else max(plan.floor.blocks, default=0)
