"""The board: everybody's level at every station and duty on the day looked at, narrowed by filters, and as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain
from typing import NamedTuple

from flask import Response, get_template_attribute, render_template, request, url_for
from markupsafe import Markup
from werkzeug.exceptions import BadRequest

from mentor_training.clearance.dossier import NEXT_DAY
from mentor_training.clearance.filters import WORDS, Filters, read_filters
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.queries import Gate, gate_at, next_session_day, visible_volunteers
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Station
from mentor_training.web.as_of import current_as_of

SOON = timedelta(days=14)
ANY_STATION = "~"  # stands in no code and in no slug
COLUMNS = ("person", "name", "station", "level", "holds_through", "missing")

Levels = Sequence[tuple[int, date | None]]


class Cell(NamedTuple):
    """One level on the board, where it is explained, and how it is shown."""

    level: int
    address: str
    mark: Markup


@dataclass(frozen=True)
class Shown:
    """What the filters leave: the stations, and the volunteers with their levels there."""

    day: date
    gate: Gate
    filters: Filters
    stations: list[Station]
    rows: list[tuple[Person, Levels]]
    sections: list[str]
    total: int


@pages.get("/clearance")
@guarded(Act.SEE_CLEARANCE)
def board() -> str:
    """Show everybody's level at every station and duty on the day looked at, as far as the filters leave them."""
    shown = _shown()
    program = shown.gate.edition(shown.day).program
    return render_template(
        "clearance/board.html",
        shown=shown,
        filters=shown.filters,
        stations=shown.stations,
        all_stations=program.stations.values(),
        levels=list(WORDS),
        rows=_cells(shown),
        counts=[sum(row[place][0] > 0 for _, row in shown.rows) for place in range(len(shown.stations))],
        day=shown.day,
        next_session=next_session_day(db(), shown.day),
        edition=shown.gate.edition(shown.day),
        looks_back=me().may(Act.SEE_PARTICIPANTS),
    )


@pages.get("/clearance.csv")
@guarded(Act.SEE_CLEARANCE)
def board_csv() -> Response:
    """Give what the board shows as CSV, safe to open in a spreadsheet."""
    shown = _shown()
    names = {person.code: person.name for person, _ in shown.rows}
    lines = []
    for one in shown.gate.answers(list(names), [station.slug for station in shown.stations], [None], shown.day):
        through = one.holds_through.isoformat() if one.holds_through else ""
        lines.append((one.person, names[one.person], one.station, int(one.level), through, "; ".join(one.reasons())))
    return Response(
        write_for_spreadsheets(COLUMNS, lines),
        mimetype="text/csv",
        headers={"Content-Disposition": f"attachment; filename=clearance-{shown.day.isoformat()}.csv"},
    )


def _shown() -> Shown:
    as_of = current_as_of(now(), instance().settings.zone)
    day, gate = as_of.day, gate_at(db(), as_of.known_at or now())
    everybody, known = visible_volunteers(db(), me()), gate.edition(day).program.stations
    sections = sorted({section for row in everybody for section in row.sections})
    filters, problems = read_filters(request.args, known, sections)
    if problems:
        raise BadRequest(" ".join(problems))
    people = [row for row in everybody if filters.keeps_person(row.code, row.name, row.sections)]
    stations = [known[filters.station]] if filters.station else list(known.values())
    until = day + max(SOON, timedelta(days=filters.within or 0)) + NEXT_DAY
    levels = gate.levels([person.code for person in people], [station.slug for station in stations], day, until)
    rows: list[tuple[Person, Levels]] = [
        (person, row) for person, row in zip(people, levels, strict=True) if filters.keeps_row(row, day)
    ]
    return Shown(day, gate, filters, stations, rows, sections, len(everybody))


def _cells(shown: Shown) -> list[tuple[Person, list[Cell]]]:
    """Return the rows as they are shown.

    Thousands of cells say few different things: what a cell shows is written once, and an address once for each row.
    """
    level_mark = get_template_attribute("_macros.html", "level_mark")
    different = set(chain.from_iterable(levels for _, levels in shown.rows))
    marks = {one: level_mark(one[0], through=one[1], soon=_is_soon(one[1], shown.day)) for one in different}
    slugs = [station.slug for station in shown.stations]
    rows = []
    for person, levels in shown.rows:
        address = url_for("clearance.decision", code=person.code, station_slug=ANY_STATION)
        addresses = (address.replace(ANY_STATION, slug, 1) for slug in slugs)
        rows.append((person, [Cell(one[0], where, marks[one]) for one, where in zip(levels, addresses, strict=True)]))
    return rows


def _is_soon(last_day: date | None, day: date) -> bool:
    return last_day is not None and last_day <= day + SOON
