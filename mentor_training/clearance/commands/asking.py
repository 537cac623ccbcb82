"""The command that says who is cleared."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import click

from mentor_training.clearance.decision import as_documented
from mentor_training.clearance.exports import LEVELS
from mentor_training.clearance.queries import gate_at
from mentor_training.clearance.questions import (
    Cleared,
    next_session_after,
    people_asked,
    stations_asked,
    who_is_cleared,
)
from mentor_training.console import as_of_options, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.participants.actions import look
from mentor_training.people.permissions import CONSOLE

COLUMNS = ("station", "level", "person", "participant", "holds through", "lapses before the session", "missing")


@click.command()
@click.option("--station", default=None, help="At this station or duty; default: at each.")
@click.option("--participant", default=None, help="With this participant; the journal keeps that one looked.")
@as_of_options
@format_option
@click.pass_obj
def who(
    instance: Instance,
    station: str | None,
    participant: str | None,
    on: date | None,
    known_at: datetime | None,
    form: str,
) -> None:
    """Print who is cleared at a station, for a participant, or both: by level, with what lapses before a session."""
    day, moment = on or instance.today(), known_at or instance.now()
    if participant:
        with instance.database.writing() as db:
            look(db, instance.now(), CONSOLE, participant, "who is cleared")
    with instance.database.reading() as db:
        gate, session = gate_at(db, moment), next_session_after(db, day)
        edition, until = gate.edition(day).number, session.day if session else None
        people, stations = people_asked(db, moment, None, None), stations_asked(gate, day, station)
        found = [one for slug in stations for one in who_is_cleared(gate, people, slug, participant, day, until)]
    if form != "json":
        show_table(form, COLUMNS, [_line(one) for one in found])
        return
    head = {"on": day.isoformat(), "known_at": utc_text(moment), "edition": edition}
    coming = {"session": session.code, "day": session.day.isoformat()} if session else None
    show_json({**head, "next_session": coming, "cleared": [_as_json(one) for one in found]})


def _as_json(one: Cleared) -> dict[str, Any]:
    return {**as_documented(one.answer), "lapses_before_session": one.lapses}


def _line(one: Cleared) -> tuple[object, ...]:
    answer = one.answer
    return (
        answer.station, LEVELS[answer.level], answer.person, answer.participant or "",
        answer.holds_through or "", "yes" if one.lapses else "", "; ".join(answer.reasons()),
    )  # fmt: skip
