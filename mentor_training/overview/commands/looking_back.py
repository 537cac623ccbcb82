"""The command that says who was cleared then, as known then."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

import click
from sqlalchemy.orm import Session

from mentor_training.clearance.questions import people_asked
from mentor_training.console import as_of_options, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.overview.exports import COLUMNS, COLUMNS_OF_FLOOR, as_cells, as_json
from mentor_training.overview.queries.then import (
    Row,
    closing_for,
    end_of_day,
    known_station,
    participants_on,
    rows_at,
    rows_of_floor,
    two_gates,
)
from mentor_training.participants.actions import look
from mentor_training.people.permissions import CONSOLE


@click.command()
@click.option("--station", default=None, help="One station or duty; default: all.")
@click.option("--person", default=None, help="One volunteer; default: all.")
@click.option("--session", default=None, help="The floor of this closed session as it ran, instead of stations.")
@click.option("--differing", is_flag=True, help="Only the answers that are different now.")
@as_of_options
@format_option
@click.pass_obj
def then(
    instance: Instance,
    station: str | None,
    person: str | None,
    session: str | None,
    differing: bool,
    on: date | None,
    known_at: datetime | None,
    form: str,
) -> None:
    """Print who was cleared on a day as known at a moment, beside what is known now and what made the difference.

    Without --known-at: as known at the end of the day; of a session, as known when it was closed.
    """
    if session and (on or station):
        raise click.UsageError("--session has its own day and stations; leave --on and --station out")
    day, now = on or instance.today(), instance.now()
    if session:
        with instance.database.writing() as db:
            day, moment, rows = _floor(db, session, person, known_at, now)
    else:
        moment = known_at or end_of_day(day, instance.settings.zone, now)
        with instance.database.reading() as db:
            gates = two_gates(db, moment, now)
            people = people_asked(db, now, None, person)
            rows = rows_at(gates, people, known_station(gates, day, station), day)
    rows = [one for one in rows if one.found.differs or not differing]
    if form == "json":
        head = {"on": day.isoformat(), "known_at": utc_text(moment), "now": utc_text(now), "session": session}
        show_json({**head, "rows": [as_json(one) for one in rows]})
    else:
        columns = COLUMNS_OF_FLOOR if session else COLUMNS
        show_table(form, columns, [as_cells(one, instance.settings.zone) for one in rows])


def _floor(
    db: Session, session: str, person: str | None, known_at: datetime | None, now: datetime
) -> tuple[date, datetime, Sequence[Row]]:
    """Look back on a session's floor; each participant on it is looked at, which the journal keeps."""
    closing = closing_for(db, session)
    day, moment = date.fromisoformat(closing.floor["day"]), known_at or closing.closed_at
    for participant in participants_on(closing):
        look(db, now, CONSOLE, participant, f"floor of {session}")
    return day, moment, rows_of_floor(two_gates(db, moment, now), closing, day, person)
