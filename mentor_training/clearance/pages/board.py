"""The board: everybody's level at every station and duty on the day looked at, narrowed by filters, and as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain
from urllib.parse import quote

from flask import Response, get_template_attribute, render_template, request, url_for
from markupsafe import Markup, escape
from werkzeug.exceptions import BadRequest

from mentor_training.clearance.filters import WORDS, Filters, read_filters
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.queries import Gate, gate_at, next_session_day, visible_volunteers
from mentor_training.clearance.spans import NEXT_DAY
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.program.catalog import Station
from mentor_training.web.as_of import current_as_of

SOON = timedelta(days=14)
ANYBODY, ANYWHERE = "~p", "~s"  # a tilde stands in no code and in no slug
COLUMNS = ("person", "name", "station", "level", "holds_through", "missing")

Levels = Sequence[tuple[int, date | None]]


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
        rows=_rows(shown),
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


def _rows(shown: Shown) -> list[tuple[Person, str, Markup]]:
    """Return each volunteer, where they are looked at, and the cells of their row.

    Thousands of cells say few different things: each is written once, with a place left for where it is explained.
    """
    pieces = _pieces(shown)
    explained = escape(url_for("clearance.decision", code=ANYBODY, station_slug=ANYWHERE))
    volunteer = url_for("clearance.volunteer", code=ANYBODY)
    slugs = [station.slug for station in shown.stations]
    rows = []
    for person, levels in shown.rows:
        code = quote(person.code)
        start, _, end = explained.replace(ANYBODY, code, 1).partition(ANYWHERE)
        cells = [
            f"{before}{start}{slug}{end}{after}"
            for slug, (before, after) in zip(slugs, map(pieces.__getitem__, levels), strict=True)
        ]
        rows.append((person, volunteer.replace(ANYBODY, code, 1), Markup("\n".join(cells))))  # noqa: S704 - escaped above
    return rows


def _pieces(shown: Shown) -> dict[tuple[int, date | None], tuple[str, str]]:
    """Return what a cell says before and after where it is explained, for each different level and last day."""
    cell = get_template_attribute("clearance/_parts.html", "board_cell")
    pieces = {}
    for level, through in set(chain.from_iterable(levels for _, levels in shown.rows)):
        before, _, after = str(cell(level, through, _is_soon(through, shown.day), ANYWHERE)).partition(ANYWHERE)
        pieces[level, through] = (before, after)
    return pieces


def _is_soon(last_day: date | None, day: date) -> bool:
    return last_day is not None and last_day <= day + SOON
