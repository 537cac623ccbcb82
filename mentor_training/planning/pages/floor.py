"""A session's floor: the board, one block, placing and taking out, the proposal, handing cards over."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import Any

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from mentor_training.calendar.queries import session_for
from mentor_training.calendar.rules import SessionFact
from mentor_training.clock import day_in
from mentor_training.errors import NotFound, Refused, Stale
from mentor_training.journal.actions import take_turn
from mentor_training.people.access import db, done, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.queries import names
from mentor_training.planning.actions.cards import hand_card
from mentor_training.planning.actions.placing import place, remove
from mentor_training.planning.actions.seen import place_as_seen, seal_of_place, still_as_seen
from mentor_training.planning.forms import PlaceForm
from mentor_training.planning.gaps import Near, obstacle
from mentor_training.planning.pages.blueprint import pages, seen_session
from mentor_training.planning.queries.board import Board, board_of, frozen_board, names_of_all, stays_in
from mentor_training.planning.queries.coming import came_to, counted, end_of
from mentor_training.planning.queries.doubts import doubts_of
from mentor_training.planning.queries.pairings import cards_out
from mentor_training.planning.queries.plan import (
    Plan,
    closing_of,
    gaps_of,
    placement_for,
    plan_of,
)
from mentor_training.planning.queries.seen import Seen, floor_seen
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed, refusals
from mentor_training.program.catalog import Level
from mentor_training.program.queries import require_edition
from mentor_training.web.as_of import current_as_of
from mentor_training.web.display import show_level

NOT_NOW = "(not now:"
# What a page of a session shows besides, where there is none of it.
NOTHING: dict[str, Any] = {
    "closing": None, "uncovered": (), "lead_gaps": (), "fallen": (), "handed": set(), "plan": None, "doubts": (),
}  # fmt: skip


@pages.get("/sessions/<code>")
@guarded(Act.CHECK_IN)
def session(code: str) -> str:
    """Show a session: who is where with whom, what is not covered and why, who came."""
    found = seen_session(code)
    closing = closing_of(db(), code)
    if closing:
        program = require_edition(db(), found.day, closing.closed_at).program
        board = frozen_board(db(), found, program, closing)
        more = {"closing": closing, "stays": stays_in(closing), "names": names_of_all(db())}
        return _session_page(found, board, drawn=_draw, **more)
    plan = _plan(found)
    seen = floor_seen(db(), plan)
    return _session_page(
        found, seen.board, plan=plan, uncovered=seen.uncovered, lead_gaps=seen.lead_gaps, fallen=seen.fallen,
        handed=cards_out(db(), code), doubts=doubts_of(db(), plan), drawn=partial(_drawn, seen),
        titles={slug: plan.floor.title(slug) for slug in plan.floor.stations},
    )  # fmt: skip


@pages.get("/sessions/<code>/blocks/<int:number>")
@guarded(Act.CHECK_IN)
def block(code: str, number: int) -> str:
    """Show one block person by person; to the coordinator with what can be changed in it."""
    seen_session(code)
    return _block_page(code, number)


@pages.get("/sessions/<code>/blocks/<int:number>/place")
@guarded(Act.PLAN)
def placing(code: str, number: int) -> str:
    """Offer who could be placed with a participant, as a lead, or on a duty."""
    form = PlaceForm(formdata=None)
    form.participant.data, form.role.data = request.args.get("participant", ""), request.args.get("role", "")
    form.who.data = request.args.get("who", "")
    return _place_page(code, number, form)


@pages.post("/sessions/<code>/blocks/<int:number>/place")
@guarded(Act.PLAN)
def place_submit(code: str, number: int) -> Response | tuple[str, int]:
    """Place somebody, or say every reason why not."""
    form = PlaceForm()
    if not form.validate_on_submit():
        return _place_page(code, number, form), 422
    station, _, mentor = (form.who.data or "").partition("|")
    participant, role = form.participant.data or None, form.role.data or ""
    try:
        still_as_seen(db(), code, number, participant, role, request.form.get("seen", ""))
        place(db(), now(), me(), code, number, station, mentor, participant, role)
    except Refused as no:
        db().rollback()
        form.form_errors.extend(no.reasons)
        return _place_page(code, number, form), 422
    return done(url_for("planning.block", code=code, number=number), "Placed.")


@pages.post("/sessions/<code>/blocks/<int:number>/remove/<int:placement>")
@guarded(Act.PLAN)
def remove_submit(code: str, number: int, placement: int) -> Response:
    """Take somebody out of the plan; refused where the number is another's by now, who was placed meanwhile."""
    take_turn(db())
    if request.form.get("who", "") not in ("", placement_for(db(), code, placement).mentor):
        raise Stale("Somebody else has that place by now; nothing was stored. Look at the block again.")
    remove(db(), now(), me(), code, placement)
    return done(url_for("planning.block", code=code, number=number), "Taken out of the plan.")


@pages.post("/sessions/<code>/hand/<participant>/<person>")
@guarded(Act.PLAN)
def hand_submit(code: str, participant: str, person: str) -> Response:
    """Hand a participant's card to a volunteer to read, so that the two can be paired."""
    hand_card(db(), now(), me(), code, participant, person)
    return done(url_for("planning.session", code=code), "The card is handed over; it shows on their pairing page.")


def _plan(session: SessionFact) -> Plan:
    as_of = current_as_of(now(), instance().settings.zone)
    plan = plan_of(db(), session, as_of.known_at or now())
    plan.gate.load_everybody()
    plan.gate.load_participants()
    return plan


def _draw(_came: object, _missing: str, table: Callable[[], str]) -> str:
    return table()


def _drawn(seen: Seen, came: Iterable[tuple[str, str]] | None, missing: str, table: Callable[[], str]) -> str:
    """Return the floor's table; its links carry the day that is looked at and where the site begins."""
    as_of = current_as_of(now(), instance().settings.zone)
    told = (None if came is None else frozenset(came), missing, as_of, request.script_root)
    return seen.drawn(told, table)


def _session_page(found: SessionFact, board: Board, **more: Any) -> str:
    zone = instance().settings.zone
    came = came_to(db(), found.code)
    return render_template(
        "planning/session.html",
        session=found,
        board=board,
        came=came,
        here=counted(found, came),
        observers=[name for code, name in names(db()).items() if code in found.observers],
        is_today=found.day == day_in(zone, now()),
        has_ended=now() >= end_of(found, zone),
        plans=me().may(Act.PLAN),
        **NOTHING | more,
    )


def _block_page(code: str, number: int) -> str:
    plan = _plan(session_for(db(), code))
    if closing_of(db(), code):
        raise Refused(f"Session {code} was closed; the floor as it ran no longer changes.")
    span = plan.session.block(number)
    if span is None:
        raise NotFound(f"block {number} in session {code}")
    gaps = {gap.participant: gap for gap in gaps_of(plan) if gap.block == number}
    board = board_of(plan, 0)
    busy = {one.mentor for one in plan.placed if one.block == number}
    away = {who for who in plan.floor.volunteers if (number, who) in plan.floor.unavailable}
    return render_template(
        "planning/block.html",
        session=plan.session,
        block=span,
        cells=board.cells_in(number),
        gaps=gaps,
        names=plan.floor.names,
        places={pair.code: row for row, cell in board.cells_in(number) for pair in cell.pairs},
        pairs={pair.code: pair for _, cell in board.cells_in(number) for pair in cell.pairs},
        plans=me().may(Act.PLAN),
        free=[(code, plan.floor.call(code)) for code in plan.floor.volunteers if code not in busy | away],
        away=away,
        attending={who for at, who in plan.floor.attended if at == number},
    )


def _place_page(code: str, number: int, form: PlaceForm) -> str:
    plan = _plan(session_for(db(), code))
    span = plan.session.block(number)
    if span is None:
        raise NotFound(f"block {number} in session {code}")
    participant, role = form.participant.data or None, form.role.data or ""
    stations = _stations_for(plan, number, participant, role)
    choices = offered(plan, number, stations, participant, role)
    form.who.choices = {"Nobody chosen yet": [("", "Choose a volunteer")], **choices}
    return render_template(
        "planning/place.html",
        session=plan.session,
        block=span,
        form=form,
        participant=participant,
        role=role,
        names=plan.floor.names,
        titles={slug: station.title for slug, station in plan.floor.stations.items()},
        count=sum(len(those) for those in choices.values()),
        seen=seal_of_place(db(), code, number, participant, role),
        shut=[plan.floor.closed_in_words(number, slug) for slug in stations if (number, slug) in plan.floor.closed],
        away=[plan.floor.call(who) for who in plan.floor.volunteers if (number, who) in plan.floor.unavailable],
        there=place_as_seen(db(), code, number, participant, role),
        nearest=_nearest(plan, [slug for slug in stations if (number, slug) not in plan.floor.closed], participant),
        handed=cards_out(db(), code),
    )


def _stations_for(plan: Plan, block: int, participant: str | None, role: str) -> tuple[str, ...]:
    """Return where the question is open: where the participant is already, else at any station; duties for a duty."""
    there = {one.station for one in plan.placed if participant and (one.block, one.participant) == (block, participant)}
    if there:
        return tuple(there)
    if role == DUTY:
        return tuple(slug for slug, station in plan.floor.stations.items() if station.is_duty)
    return tuple(plan.floor.stations) if participant or role == LEAD else plan.floor.places


def offered(
    plan: Plan, block: int, stations: tuple[str, ...], participant: str | None, role: str
) -> dict[str, list[tuple[str, str]]]:
    """Return who is free and cleared, by station, each with their level's word; for a lead only who may lead.

    Stations where nobody of them can be placed now come last.
    """
    busy = {one.mentor for one in plan.placed if one.block == block}
    busy |= {who for at, who in plan.floor.unavailable if at == block}
    least = Level.LEAD if role == LEAD else Level.SUPERVISED
    found: dict[str, list[tuple[str, str]]] = {}
    for slug in (one for one in stations if (block, one) not in plan.floor.closed):
        levels = ((plan.level_of(who, slug, participant), who) for who in plan.floor.volunteers if who not in busy)
        able = [Placed(block, slug, who, role or MENTOR, participant, level) for level, who in levels if level >= least]
        able.sort(key=lambda one: (-one.level, one.mentor))
        found[plan.floor.title(slug)] = [(f"{slug}|{one.mentor}", _offer(plan, one)) for one in able]
    return {title: found[title] for title in sorted(found, key=lambda one: _only_later(found[one])) if found[title]}


def _only_later(offers: list[tuple[str, str]]) -> bool:
    return all(NOT_NOW in words for _, words in offers)


def _offer(plan: Plan, one: Placed) -> str:
    """Return a choice in words, with what would be refused now said beforehand."""
    words = f"{plan.floor.call(one.mentor)}, {show_level(one.level)}, {plan.floor.title(one.station)}"
    refused = one.role == MENTOR and refusals(plan.floor, plan.placed, one)
    return f"{words} {NOT_NOW} {obstacle(plan.floor, plan.placed, one)})" if refused else words


def _nearest(plan: Plan, stations: Iterable[str], participant: str | None) -> tuple[Near, ...]:
    return plan.nearest_of(participant, stations) if participant in plan.floor.participants and participant else ()
