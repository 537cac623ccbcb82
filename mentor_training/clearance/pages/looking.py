"""The board, a station, a participant, a volunteer, and one decision explained."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import chain
from typing import NamedTuple

from flask import Response, get_template_attribute, render_template, request, url_for
from markupsafe import Markup

from mentor_training.clearance.dossier import NEXT_DAY
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.pages.doing import grounds_with_ways, missing_with_ways, reasons_with_ways
from mentor_training.clearance.queries import (
    Gate,
    gate_at,
    next_session_day,
    visible_volunteer,
    visible_volunteers,
)
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.errors import NotFound
from mentor_training.participants.actions import look
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Level, Station
from mentor_training.web.as_of import current_as_of
from mentor_training.web.display import show_level

SOON = timedelta(days=14)
ANY_STATION = "~"  # stands in no code and in no slug


class Cell(NamedTuple):
    """One level on the board, where it is explained, and how it is shown."""

    level: int
    address: str
    mark: Markup


@pages.get("/clearance")
@guarded(Act.SEE_CLEARANCE)
def board() -> str:
    """Show everybody's level at every station and duty on the day looked at."""
    day, gate = _gate()
    everybody = visible_volunteers(db(), me())
    stations = list(gate.edition(day).program.stations.values())
    rows = _rows(gate, day, _chosen(everybody), [one.slug for one in stations])
    counts = [sum(cells[place].level > 0 for _, cells in rows) for place in range(len(stations))]
    return render_template(
        "clearance/board.html",
        stations=stations,
        rows=rows,
        counts=counts,
        day=day,
        sections=sorted({section for row in everybody for section in row.sections}),
        next_session=next_session_day(db(), day),
        edition=gate.edition(day),
    )


@pages.get("/clearance.csv")
@guarded(Act.SEE_CLEARANCE)
def board_csv() -> Response:
    """Give the board as CSV, safe to open in a spreadsheet."""
    day, gate = _gate()
    stations = list(gate.edition(day).program.stations.values())
    names = {person.code: person.name for person in _chosen(visible_volunteers(db(), me()))}
    lines = []
    for one in gate.answers(list(names), [station.slug for station in stations], [None], day):
        through = one.holds_through.isoformat() if one.holds_through else ""
        lines.append((one.person, names[one.person], one.station, int(one.level), through, "; ".join(one.reasons())))
    text = write_for_spreadsheets(("person", "name", "station", "level", "holds_through", "missing"), lines)
    return Response(
        text,
        mimetype="text/csv",
        headers={"Content-Disposition": f"attachment; filename=clearance-{day.isoformat()}.csv"},
    )


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


def _chosen(people: list[Person]) -> list[Person]:
    section = request.args.get("section", "")
    return [row for row in people if not section or section in row.sections]


def _rows(gate: Gate, day: date, people: list[Person], stations: list[str]) -> list[tuple[Person, list[Cell]]]:
    """Return the rows of the board, those that the filters leave.

    Thousands of cells say few different things: what a cell shows is written once, and an address once for each row.
    """
    levels = gate.levels([person.code for person in people], stations, day, day + SOON + NEXT_DAY)
    wanted, level_mark = request.args.get("level", ""), get_template_attribute("_macros.html", "level_mark")
    marks = {
        one: level_mark(one[0], through=one[1], soon=one[1] is not None) for one in set(chain.from_iterable(levels))
    }
    rows = []
    for person, row in zip(people, levels, strict=True):
        if not wanted or any(show_level(level) == wanted for level, _ in row):
            address = url_for("clearance.decision", code=person.code, station_slug=ANY_STATION)
            addresses = (address.replace(ANY_STATION, slug, 1) for slug in stations)
            rows.append((person, [Cell(one[0], where, marks[one]) for one, where in zip(row, addresses, strict=True)]))
    return rows
