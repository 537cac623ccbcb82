"""Who shadows in a block: noted and ended by the coordinator."""

from __future__ import annotations

from flask import render_template, url_for
from werkzeug.wrappers import Response

from mentor_training.errors import NotFound, Refused
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.shadowing import end_shadow, shadow
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.day_forms import ShadowForm
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.plan import plan_for
from mentor_training.planning.queries.shadows import shadows_in


@pages.get("/sessions/<code>/blocks/<int:number>/shadow")
@guarded(Act.PLAN)
def shadowing(code: str, number: int) -> str:
    """Show who shadows in a block, and offer who is free for it."""
    seen_session(code)
    return _shadow_page(code, number, ShadowForm(formdata=None))


@pages.post("/sessions/<code>/blocks/<int:number>/shadow")
@guarded(Act.PLAN)
def shadow_submit(code: str, number: int) -> Response | tuple[str, int]:
    """Note a shadow, or say every reason why not."""
    form = ShadowForm()
    if not form.validate_on_submit():
        return _shadow_page(code, number, form), 422
    try:
        shadow(db(), now(), me(), code, number, form.station.data or "", form.who.data or "")
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _shadow_page(code, number, form), 422
    return done(url_for("planning.shadowing", code=code, number=number), "Noted: they watch and touch nobody.")


@pages.post("/sessions/<code>/blocks/<int:number>/shadow/<who>/end")
@guarded(Act.PLAN)
def end_shadow_submit(code: str, number: int, who: str) -> Response:
    """Note that somebody does not shadow any more."""
    end_shadow(db(), now(), me(), code, number, who)
    return done(url_for("planning.shadowing", code=code, number=number), "They do not shadow in this block any more.")


def _shadow_page(code: str, number: int, form: ShadowForm) -> str:
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    span = plan.session.block(number)
    if span is None:
        raise NotFound(f"block {number} in session {code}")
    busy = {one.placed.mentor for one in plan.standing if one.placed.block == number}
    free = [(who, plan.floor.call(who)) for who in plan.floor.volunteers if who not in busy]
    form.who.choices = [("", "Choose a volunteer"), *free]
    still_open_here = (slug for slug in plan.floor.stations if (number, slug) not in plan.floor.closed)
    form.station.choices = [("", "Choose a station"), *((slug, plan.floor.title(slug)) for slug in still_open_here)]
    return render_template(
        "planning/shadow.html",
        session=plan.session,
        block=span,
        floor=plan.floor,
        form=form,
        free=free,
        shadows=[one for one in shadows_in(db(), plan) if one.block == number],
    )
