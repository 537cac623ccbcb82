"""What lapses in the coming weeks: a page, the same as CSV, and as a calendar."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from flask import Response, render_template, request
from werkzeug.exceptions import BadRequest

from mentor_training.clearance.exports import COLUMNS, cause_in_words, lapse_as_row, lapses_as_calendar, title_of
from mentor_training.clearance.lapses import Lapse
from mentor_training.clearance.pages.blueprint import pages
from mentor_training.clearance.queries import Gate, gate_at, visible_volunteers
from mentor_training.clearance.questions import DAYS_AHEAD, LapseAhead, lapses_ahead, stations_ahead
from mentor_training.csv_form import write_for_spreadsheets
from mentor_training.people.access import db, guarded, instance, me, now
from mentor_training.people.permissions import Act
from mentor_training.people.tables import Person
from mentor_training.web.as_of import current_as_of

MOST_DAYS = 3660


@dataclass(frozen=True)
class Asked:
    """What was asked, and the answer."""

    day: date
    days: int
    section: str
    station: str
    gate: Gate
    people: dict[str, Person]
    sections: tuple[str, ...]
    found: tuple[LapseAhead, ...]


@dataclass(frozen=True)
class Line:
    """What one volunteer loses on one day for the same reasons, at one or more stations."""

    person: Person
    first: LapseAhead
    falls: tuple[Lapse, ...]


@pages.get("/clearance/lapses")
@guarded(Act.SEE_CLEARANCE)
def lapses() -> str:
    """Show who loses which level where, on which day, because of what, and before which session."""
    asked = _asked()
    program = asked.gate.edition(asked.day).program
    return render_template(
        "clearance/lapses.html",
        asked=asked,
        program=program,
        lines=_lines(asked),
        because=lambda one: [cause_in_words(cause, program) for cause in one.causes],
        title_of=lambda slug: title_of(slug, program),
        filters={"section": asked.section or None, "station": asked.station or None, "days": asked.days},
    )


@pages.get("/clearance/lapses.csv")
@guarded(Act.SEE_CLEARANCE)
def lapses_csv() -> Response:
    """Give the lapses as CSV, safe to open in a spreadsheet."""
    asked = _asked()
    program = asked.gate.edition(asked.day).program
    rows = [lapse_as_row(one, asked.people[one.lapse.person].name, program) for one in asked.found]
    return _file(write_for_spreadsheets(COLUMNS, rows), "text/csv", f"lapses-{asked.day.isoformat()}.csv")


@pages.get("/clearance/lapses.ics")
@guarded(Act.SEE_CLEARANCE)
def lapses_calendar() -> Response:
    """Give the lapses as a calendar file."""
    asked = _asked()
    settings, program = instance().settings, asked.gate.edition(asked.day).program
    text = lapses_as_calendar(asked.found, settings.title, settings.address, program, now())
    return _file(text, "text/calendar", f"lapses-{asked.day.isoformat()}.ics")


def _asked() -> Asked:
    as_of = current_as_of(now(), instance().settings.zone)
    gate = gate_at(db(), as_of.known_at or now())
    section, station, days = request.args.get("section", ""), request.args.get("station", ""), _days()
    everybody = visible_volunteers(db(), me())
    people = {row.code: row for row in everybody if not section or section in row.sections}
    stations = stations_ahead(gate, as_of.day, days, station or None)
    found = lapses_ahead(db(), gate, list(people), stations, None, as_of.day, days)
    sections = tuple(sorted({one for row in everybody for one in row.sections}))
    return Asked(as_of.day, days, section, station, gate, people, sections, found)


def _days() -> int:
    text = request.args.get("days", "").strip() or str(DAYS_AHEAD)
    if not re.fullmatch("[0-9]{1,4}", text) or not 1 <= int(text) <= MOST_DAYS:
        raise BadRequest(f"{text!r} is no number of days to look ahead; write a whole number from 1 to {MOST_DAYS}.")
    return int(text)


def _lines(asked: Asked) -> list[Line]:
    """Put together what one volunteer loses on one day for the same reasons."""

    def alike(one: LapseAhead) -> tuple[object, ...]:
        return (one.lapse.day, one.lapse.person, one.lapse.causes)

    in_order = sorted(asked.found, key=lambda one: (one.lapse.day, one.lapse.person, repr(one.lapse.causes)))
    return [_line(asked, list(those)) for _, those in groupby(in_order, key=alike)]


def _line(asked: Asked, those: Sequence[LapseAhead]) -> Line:
    return Line(asked.people[those[0].lapse.person], those[0], tuple(one.lapse for one in those))


def _file(text: str, mimetype: str, name: str) -> Response:
    return Response(text, mimetype=mimetype, headers={"Content-Disposition": f"attachment; filename={name}"})
