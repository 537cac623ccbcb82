"""Clearance on the command line: the documented JSON, and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

import click
from sqlalchemy.orm import Session

from mentor_training.clearance.answers import Answer
from mentor_training.clearance.decision import Decision, as_documented, ground_in_words, next_rung_in_words
from mentor_training.clearance.queries import Gate, gate_at, participants_known, volunteers_known
from mentor_training.console import as_of_options, format_option, show_json, show_table, utc_text
from mentor_training.database.instance import Instance
from mentor_training.errors import NotFound
from mentor_training.program.catalog import Level

WORDS = {Level.NOT_YET: "not yet", Level.SUPERVISED: "supervised", Level.INDEPENDENT: "independent", Level.LEAD: "lead"}


@click.command()
@click.option("--station", default=None, help="One station or duty; default: all.")
@click.option("--person", default=None, help="One volunteer; default: all.")
@click.option("--participant", default=None, help="With this participant.")
@click.option("--every-participant", is_flag=True, help="With each participant in turn.")
@as_of_options
@format_option
@click.pass_obj
def clearance(
    instance: Instance,
    station: str | None,
    person: str | None,
    participant: str | None,
    every_participant: bool,
    on: date | None,
    known_at: datetime | None,
    form: str,
) -> None:
    """Print who is cleared for what, on a day, as far as was known at a moment."""
    if participant and every_participant:
        raise click.UsageError("--participant and --every-participant exclude each other; give one of them")
    day, moment = on or instance.today(), known_at or instance.now()
    with instance.database.reading() as db:
        gate = gate_at(db, moment)
        edition = gate.edition(day).number
        found = everyone_asked(db, gate, day, station, person, _asked(db, moment, participant, every_participant))
        if form == "json":
            rows = [as_documented(decision) for decision in found]
            show_json({"on": day.isoformat(), "known_at": utc_text(moment), "edition": edition, "clearances": rows})
        else:
            show_table(form, ("person", "station", "participant", "level", "holds through", "missing"), _rows(found))


@click.command()
@click.argument("person")
@click.argument("station")
@click.argument("participant", required=False)
@as_of_options
@click.pass_obj
def why(
    instance: Instance, person: str, station: str, participant: str | None, on: date | None, known_at: datetime | None
) -> None:
    """Say why PERSON has the level they have at STATION, with PARTICIPANT where one is named, and what would raise it.

    Exit status 1 when they are not cleared.
    """
    day, moment = on or instance.today(), known_at or instance.now()
    with instance.database.reading() as db:
        known(db, person, moment)
        decision = gate_at(db, moment).decide(person, station, participant, day)
        for line in explain(decision):
            click.echo(line)
    if decision.level == Level.NOT_YET:
        raise click.exceptions.Exit(1)


def known(db: Session, person: str, known_at: datetime) -> None:
    """Refuse a code that is no volunteer's."""
    if person not in volunteers_known(db, known_at):
        raise NotFound(f"volunteer {person} known by then")


def everyone_asked(
    db: Session, gate: Gate, day: date, station: str | None, person: str | None, participants: list[str | None]
) -> Iterator[Answer]:
    """Yield the answer for each volunteer, station and participant: by code, in the file's order, by code."""
    stations = gate.edition(day).program.stations
    if station is not None and station not in stations:
        raise NotFound(f"station {station}; there are {', '.join(stations)}")
    if person is not None:
        known(db, person, gate.known_at)
    people = [person] if person else volunteers_known(db, gate.known_at)
    return gate.answers(people, [station] if station else list(stations), participants, day)


def _asked(db: Session, known_at: datetime, participant: str | None, everybody: bool) -> list[str | None]:
    return [*participants_known(db, known_at)] if everybody else [participant]


def _rows(found: Iterator[Answer]) -> list[tuple[object, ...]]:
    return [
        (
            one.person,
            one.station,
            one.participant or "",
            WORDS[one.level],
            one.holds_through or "",
            "; ".join(one.reasons()),
        )
        for one in found
    ]


def explain(decision: Decision) -> Iterator[str]:
    """Yield the lines that explain a decision."""
    program = decision.program
    with_whom = f" with {decision.participant}" if decision.participant else ""
    title = program.stations[decision.station].title
    level = f"{WORDS[decision.level]} (edition {decision.edition})"
    yield f"{decision.person} at {title}{with_whom} on {decision.on}: {level}"
    if decision.level:
        yield f"holds through {decision.holds_through or 'no end in sight'} if nothing more is recorded"
    for ground in decision.grounds:
        yield f"no, because: {ground_in_words(ground, program, decision.holdings)}"
    for span in decision.met:
        waived = " (waiver)" if span.waiver else ""
        yield f"met: {program.title_of(span.item)} by {span.record}{waived}, through {span.last or 'no end'}"
    rung = next(iter(decision.missing), None)
    for words in next_rung_in_words(decision):
        yield f"for {rung}: {words}"
    if decision.is_shadow:
        yield "may be present as a shadow: counts for nothing and touches nobody"
