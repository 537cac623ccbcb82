"""A station, a volunteer, and one decision explained."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from flask import render_template, request

from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.pages.doing import grounds_with_ways, missing_with_ways, reasons_with_ways
from mentor_training.clearance.queries import (
    Gate,
    gate_at,
    next_session_day,
    visible_volunteer,
    visible_volunteers,
)
from mentor_training.errors import NotFound
from mentor_training.participants.actions import look
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.program.catalog import Level, Station
from mentor_training.web.as_of import current_as_of

SOON = timedelta(days=14)


@pages.get("/clearance/stations/<slug>")
@guarded(Act.SEE_CLEARANCE)
def station(slug: str) -> str:
    """Show who is cleared at one station, by level, and what lapses before the next session."""
    day, gate = _gate()
    place = _station(gate, day, slug)
    people = visible_volunteers(db(), me())
    decided = list(zip(people, gate.answers([row.code for row in people], [slug], [None], day), strict=True))
    by_level = [(level, [one for one in decided if one[1].level == level]) for level in sorted(Level, reverse=True)]
    upcoming = next_session_day(db(), day)
    lapsing = [row for row, one in decided if one.holds_through and upcoming and one.holds_through < upcoming]
    return render_template(
        "clearance/station.html",
        station=place,
        by_level=by_level,
        cleared=sum(one.level > 0 for _, one in decided),
        leads=sum(one.level == Level.LEAD for _, one in decided),
        total=len(decided),
        lapsing=lapsing,
        upcoming=upcoming,
        day=day,
        soon=day + SOON,
        program=gate.edition(day).program,
    )


@pages.get("/clearance/people/<code>")
@guarded(Act.SEE_VOLUNTEER)
def volunteer(code: str) -> str:
    """Show one volunteer's level everywhere, why it is no higher, and what would raise it."""
    person = visible_volunteer(db(), me(), code)
    day, gate = _gate()
    decisions = [gate.decide(code, slug, None, day) for slug in gate.edition(day).program.stations]
    return render_template(
        "clearance/volunteer.html",
        person=person,
        decisions=decisions,
        reasons={one.station: reasons_with_ways(one) for one in decisions},
        program=gate.edition(day).program,
        day=day,
        soon=day + SOON,
        may_correct=me().may(Act.STAND_DOWN),
    )


@pages.get("/clearance/people/<code>/at/<station_slug>")
@guarded(Act.SEE_VOLUNTEER)
def decision(code: str, station_slug: str) -> str:
    """Explain one decision: what met it by which record, what is missing, every ground of a zero, until when."""
    person = visible_volunteer(db(), me(), code)
    participant = request.args.get("participant") or None
    if participant and not me().may(Act.SEE_PARTICIPANTS):
        raise NotFound("such a page for you; a pairing is shown with its session")
    if participant:
        with instance().database.writing() as short:
            look(short, instance().now(), me(), participant, f"clearance of {code}")
    day, gate = _gate()
    _station(gate, day, station_slug)
    one = gate.decide(code, station_slug, participant, day)
    return render_template(
        "clearance/decision.html",
        person=person,
        decision=one,
        program=one.program,
        grounds=grounds_with_ways(one),
        missing=missing_with_ways(one),
        soon=day + SOON,
    )


def _gate() -> tuple[date, Gate]:
    as_of = current_as_of(now(), instance().settings.zone)
    known_at: datetime = as_of.known_at or now()
    return as_of.day, gate_at(db(), known_at)


def _station(gate: Gate, day: date, slug: str) -> Station:
    found = gate.edition(day).program.stations.get(slug)
    if found is None:
        raise NotFound(f"station {slug}")
    return found
