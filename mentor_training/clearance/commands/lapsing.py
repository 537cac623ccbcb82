"""The command that says what lapses."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import click

from mentor_training.clearance.exports import (
    COLUMNS,
    LEVELS,
    cause_in_words,
    lapse_as_json,
    lapse_as_row,
    lapses_as_calendar,
)
from mentor_training.clearance.queries import gate_at
from mentor_training.clearance.questions import DAYS_AHEAD, LapseAhead, lapses_ahead, people_asked, stations_ahead
from mentor_training.console import as_of_options, show_json, show_table, utc_text
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.people.queries import volunteers
from mentor_training.program.catalog import Program

FORMS = ("table", "json", "csv", "calendar")


@click.command()
@click.option("--station", default=None, help="One station or duty; default: all.")
@click.option("--section", default=None, help="The volunteers of one section; default: all.")
@click.option("--person", default=None, help="One volunteer; default: all.")
@click.option("--participant", default=None, help="With this participant.")
@click.option("--days", type=click.IntRange(1, 3660), default=DAYS_AHEAD, help=f"How far ahead; default: {DAYS_AHEAD}.")
@as_of_options
@click.option("--format", "form", type=click.Choice(FORMS), default="table", help="calendar: a file of RFC 5545.")
@click.pass_obj
def lapses(
    instance: Instance,
    station: str | None,
    section: str | None,
    person: str | None,
    participant: str | None,
    days: int,
    on: date | None,
    known_at: datetime | None,
    form: str,
) -> None:
    """Print who loses which level where, on which day, because of which record, and before which session."""
    day, moment = on or instance.today(), known_at or instance.now()
    with instance.database.reading() as db:
        gate = gate_at(db, moment)
        program = gate.edition(day).program
        people, stations = people_asked(db, moment, section, person), stations_ahead(gate, day, days, station)
        found = lapses_ahead(db, gate, people, stations, participant, day, days)
        names = {row.code: row.name for row in volunteers(db)}
    if form == "json":
        through = (day + timedelta(days=days)).isoformat()
        head = {"on": day.isoformat(), "through": through, "known_at": utc_text(moment)}
        show_json({**head, "lapses": [lapse_as_json(one) for one in found]})
    elif form == "calendar":
        settings = instance.settings
        text = lapses_as_calendar(found, settings.title, settings.address, program, instance.now())
        click.echo(text, nl=False)
    elif form == "csv":
        rows = [lapse_as_row(one, names.get(one.lapse.person, ""), program) for one in found]
        click.echo(write_rows(COLUMNS, rows), nl=False)
    else:
        columns = ("person", "station", "falls on", "from", "to", "because", "before session")
        show_table("table", columns, [_line(one, program) for one in found])


def _line(one: LapseAhead, program: Program) -> tuple[object, ...]:
    lapse = one.lapse
    because = "; ".join(cause_in_words(cause, program) for cause in lapse.causes)
    session = f"{one.session.code} on {one.session.day}" if one.session else ""
    return (lapse.person, lapse.station, lapse.day, LEVELS[lapse.before], LEVELS[lapse.after], because, session)
