"""The command that says what single step opens most for one volunteer."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import click

from mentor_training.clearance.decision import atom_as_json, atom_in_words
from mentor_training.clearance.questions import people_asked
from mentor_training.console import as_of_options, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.overview.queries.steps import Steps, steps_of
from mentor_training.overview.rules import Step

COLUMNS = ("step", "stations", "participants", "opens", "brings nearer")


@click.command()
@click.argument("person")
@as_of_options
@format_option
@click.pass_obj
def steps(instance: Instance, person: str, on: date | None, known_at: datetime | None, form: str) -> None:
    """Print what single step opens most for PERSON: each missing thing tried by itself, the one that opens most first.

    Counted are the stations and duties whose level it raises, and the participants expected at coming sessions with
    whom one could work then and cannot now.
    """
    day, moment = on or instance.today(), known_at or instance.now()
    with instance.database.reading() as db:
        people_asked(db, moment, None, person)
        found = steps_of(db, person, day, moment)
    if form == "json":
        head = {"on": day.isoformat(), "known_at": utc_text(moment), "edition": found.edition, "person": person}
        show_json({**head, "steps": [_as_json(found, one) for one in found.steps]})
    else:
        show_table(form, COLUMNS, [_line(found, one) for one in found.steps])


def _as_json(found: Steps, step: Step) -> dict[str, Any]:
    return {
        "step": atom_as_json(step.atom, found.decisions[0].holdings),
        "stations": [
            {"station": one.station, "before": int(one.before), "after": int(one.after)} for one in step.opens
        ],
        "participants": step.participants,
        "nearer": list(step.nearer),
    }


def _line(found: Steps, step: Step) -> tuple[object, ...]:
    one = found.decisions[0]
    opens = "; ".join(f"{place.station} {int(place.before)} to {int(place.after)}" for place in step.opens)
    words = atom_in_words(step.atom, one.program, one.holdings)
    return (words, len(step.opens), step.participants, opens, "; ".join(step.nearer))
