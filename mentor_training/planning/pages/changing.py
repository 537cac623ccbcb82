"""Changes of a floor by hand, by selects and buttons: move, swap two, and undo the last change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from flask import render_template, request, url_for
from werkzeug.exceptions import BadRequest
from werkzeug.wrappers import Response

from mentor_training.calendar.versions import seal
from mentor_training.errors import NotFound, Refused, Stale
from mentor_training.journal.actions import take_turn
from mentor_training.people.access import db, done, guarded, me, now
from mentor_training.people.permissions import Act
from mentor_training.planning.actions.changing import move, swap, undo
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.forms import ChangeForm
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import names_of_all
from mentor_training.planning.queries.changes import last_change
from mentor_training.planning.queries.plan import Plan, plan_for, standing_in
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Floor, Placed
from mentor_training.program.catalog import Level
from mentor_training.web.display import show_level

OVERTAKEN = (
    "This block was changed while your page was open; nothing was stored. The page says how it stands now; send the "
    "form again if your choice still stands."
)
Choices = dict[str, list[tuple[str, str]]]


@pages.get("/sessions/<code>/blocks/<int:number>/change/<int:placement>")
@guarded(Act.PLAN)
def changing(code: str, number: int, placement: int) -> str:
    """Offer where somebody who is placed could go instead, and with whom they could swap."""
    seen_session(code)
    return _change_page(code, number, placement, ChangeForm(formdata=None))


@pages.post("/sessions/<code>/blocks/<int:number>/change/<int:placement>")
@guarded(Act.PLAN)
def change_submit(code: str, number: int, placement: int) -> Response | tuple[str, int]:
    """Move or swap, or say every reason why not."""
    form = ChangeForm()
    if not form.validate_on_submit():
        return _change_page(code, number, placement, form), 422
    try:
        take_turn(db())
        if request.form.get("seen", "") != _seal(code, number):
            raise Stale(OVERTAKEN)
        said = _change(code, placement, (form.to.data or "").split("|"))
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _change_page(code, number, placement, form), 422
    return done(url_for("planning.block", code=code, number=number), said)


@pages.get("/sessions/<code>/undo")
@guarded(Act.PLAN)
def undoing(code: str) -> str:
    """Show what was changed last, and by whom, before it is undone."""
    return _undo_page(code)


@pages.post("/sessions/<code>/undo")
@guarded(Act.PLAN)
def undo_submit(code: str) -> Response | tuple[str, int]:
    """Undo what was shown, if it is the last change still and nothing stands in its way."""
    number = request.form.get("number", 0, type=int)
    try:
        undo(db(), now(), me(), code, number)
    except Refused as no:
        db().rollback()
        return _undo_page(code, no.reasons), 422
    return done(url_for("planning.session", code=code), "The last change is undone.")


def _change(code: str, placement: int, choice: list[str]) -> str:
    if len(choice) == 4 and choice[0] == "to":
        _, station, role, participant = choice
        move(db(), now(), me(), code, placement, station, participant or None, role)
        return "Moved."
    if len(choice) == 2 and choice[0] == "with" and choice[1].isdecimal():
        swap(db(), now(), me(), code, placement, int(choice[1]))
        return "Swapped."
    raise BadRequest("The choice that was sent cannot be read; open the page again.")


def _seal(code: str, number: int) -> str:
    return seal(*(one for one in standing_in(db(), code) if one.placed.block == number))


def _change_page(code: str, number: int, placement: int, form: ChangeForm) -> str:
    still_open(db(), code)
    plan = plan_for(db(), code, now())
    span = plan.session.block(number)
    one = next((one for one in plan.standing if (one.id, one.placed.block) == (placement, number)), None)
    if span is None or one is None:
        raise NotFound(f"placement {placement} in block {number} of session {code}; it may have been removed meanwhile")
    choices = {"Move": list(_places(plan, one.placed)), "Swap": list(_others(plan, one.placed))}
    form.to.choices = {
        "Nothing chosen yet": [("", "Choose a change")],
        **{k: those for k, those in choices.items() if those},
    }
    return render_template(
        "planning/change.html",
        session=plan.session,
        block=span,
        form=form,
        name=plan.floor.call(one.placed.mentor),
        now_at=place_in_words(plan.floor, one.placed),
        placement=placement,
        count=sum(len(those) for those in choices.values()),
        seen=_seal(code, number),
    )


def _places(plan: Plan, one: Placed) -> Iterator[tuple[str, str]]:
    """Offer every other place of the block for which they are cleared; the rules are asked when one is chosen."""
    where = {other.participant: other.station for other in plan.placed_in(one.block) if other.mentor != one.mentor}
    wanted = [
        *((slug, MENTOR, who) for who in plan.floor.participants for slug in _stations(plan.floor, where.get(who))),
        *((slug, LEAD, None) for slug in plan.floor.stations),
        *((slug, DUTY, None) for slug, station in plan.floor.stations.items() if station.is_duty),
    ]
    for station, role, participant in wanted:
        level = plan.level_of(one.mentor, station, participant)
        new = Placed(one.block, station, one.mentor, role, participant, level)
        is_there = (station, role, participant) == (one.station, one.role, one.participant)
        is_shut = (one.block, station) in plan.floor.closed
        if level >= (Level.LEAD if role == LEAD else Level.SUPERVISED) and not is_there and not is_shut:
            yield f"to|{station}|{role}|{participant or ''}", f"{place_in_words(plan.floor, new)}, {show_level(level)}"


def _stations(floor: Floor, station: str | None) -> Iterable[str]:
    return (station,) if station else floor.places


def _others(plan: Plan, one: Placed) -> Iterator[tuple[str, str]]:
    """Offer everybody else who is placed in the block, wherever they are."""
    for other in plan.standing:
        placed = other.placed
        if placed.block == one.block and placed.mentor != one.mentor:
            yield f"with|{other.id}", f"{plan.floor.call(placed.mentor)}: {place_in_words(plan.floor, placed)}"


def place_in_words(floor: Floor, placed: Placed) -> str:
    """Say where somebody is: with whom at which station, leading it, or on a duty."""
    where = floor.title(placed.station)
    if placed.participant:
        return f"with {floor.call(placed.participant)} at {where}"
    return f"lead of {where}" if placed.role == LEAD else f"on duty, {where}"


def _undo_page(code: str, refused: tuple[str, ...] = ()) -> str:
    found = seen_session(code)
    still_open(db(), code)
    plan, last = plan_for(db(), code, now()), last_change(db(), code)

    def said(placed: Iterable[Placed]) -> list[tuple[int, str, str]]:
        return [(one.block, plan.floor.call(one.mentor), place_in_words(plan.floor, one)) for one in placed]

    return render_template(
        "planning/undo.html",
        session=found,
        last=last,
        by=names_of_all(db()).get(last.by, last.by) if last else "",
        goes=said(last.placed) if last else [],
        comes=said(last.removed) if last else [],
        reasons=refused,
    )
