"""Sessions and plans on the command line."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from mentor_training.calendar.queries import sessions as all_sessions
from mentor_training.calendar.timetable import COLUMNS, as_row, read_sessions
from mentor_training.console import MOMENT, read_text, show_json, show_table, stop_on, utc_text
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.placing import proposal_for, propose_and_place
from mentor_training.planning.actions.sessions import import_sessions
from mentor_training.planning.gaps import Uncovered, as_json, by_participant
from mentor_training.planning.queries.known import known_for_sessions
from mentor_training.planning.queries.plan import Plan, gaps_of, lead_gaps_of, plan_for, with_more
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed

FIRST = "a first proposal, not proven best"


@click.group()
def sessions() -> None:
    """Take sessions in, write them out."""


@sessions.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def import_file(instance: Instance, file: Path) -> None:
    """Take sessions.csv in: whole, or not at all. Import people and participants and publish the program first."""
    with instance.database.writing() as db:
        now = instance.now()
        found, problems = read_sessions(read_text(file), known_for_sessions(db, now))
        stop_on(file, problems)
        changed = import_sessions(db, now, CONSOLE, found)
    click.echo(f"{len(found)} rows read, {changed} of them new or changed")


@sessions.command("export")
@click.pass_obj
def export_file(instance: Instance) -> None:
    """Write sessions.csv to standard output."""
    with instance.database.reading() as db:
        rows = [as_row(one) for one in all_sessions(db)]
    click.echo(write_rows(COLUMNS, rows), nl=False)


@click.command()
@click.argument("session")
@click.option("--format", "form", type=click.Choice(["table", "json"]), default="table")
@click.option("--known-at", type=MOMENT, default=None, help="Only what was recorded by then counts.")
@click.option("--propose", is_flag=True, help="Add a first proposal to what is shown; store nothing.")
@click.option("--accept", is_flag=True, help="Store a first proposal, then show the plan.")
@click.pass_obj
def plan(instance: Instance, session: str, form: str, known_at: datetime | None, propose: bool, accept: bool) -> None:
    """Show the plan of SESSION: placements, leads, and what is not covered, with the reason."""
    if accept and (propose or known_at):
        raise click.UsageError("--accept stores by what is known now; leave out --propose and --known-at")
    if accept:
        with instance.database.writing() as db:
            propose_and_place(db, instance.now(), CONSOLE, session)
    now = instance.now()
    with instance.database.reading() as db:
        found = plan_for(db, session, known_at or now)
        found.gate.load_everybody()
        proposed = proposal_for(found) if propose else ()
        shown = with_more(found, proposed)
        if form == "json":
            show_json(documented(shown, known_at or now, bool(proposed)))
        else:
            _show(shown, proposed)


def documented(found: Plan, known_at: datetime, proposed: bool) -> dict[str, Any]:
    """Return a plan as its documented JSON."""
    return {
        "session": found.session.code,
        "on": found.session.day.isoformat(),
        "known_at": utc_text(known_at),
        "edition": found.edition.number,
        "proposed": proposed,
        "placements": [_placing(one) | {"participant": one.participant} for one in _of(found.placed, MENTOR)],
        "leads": [_placing(one) for one in _of(found.placed, LEAD)],
        "duties": [_placing(one) for one in _of(found.placed, DUTY)],
        "uncovered": [as_json(gap) for gap in gaps_of(found)],
        "lacking_leads": [
            {"block": gap.block, "station": gap.station, "lacking": gap.lacking, "could": list(gap.could)}
            for gap in lead_gaps_of(found)
        ],
    }


def _of(placed: Iterable[Placed], role: str) -> list[Placed]:
    chosen = [one for one in placed if one.role == role]
    return sorted(chosen, key=lambda one: (one.block, one.station, one.participant or "", one.mentor))


def _placing(one: Placed) -> dict[str, Any]:
    return {"block": one.block, "station": one.station, "mentor": one.mentor, "level": int(one.level)}


def _show(found: Plan, proposed: tuple[Placed, ...]) -> None:
    if proposed:
        click.echo(f"with {len(proposed)} placements of {FIRST}; nothing is stored")
    rows = [_line(one) for role in (MENTOR, LEAD, DUTY) for one in _of(found.placed, role)]
    show_table("table", ("block", "station", "participant", "mentor", "role", "level"), sorted(rows))
    gaps = gaps_of(found)
    click.echo(
        f"\n{len(gaps)} of {len(found.floor.blocks) * len(found.floor.participants)} participant-blocks uncovered"
    )
    for uncovered in by_participant(gaps):
        _show_uncovered(found, uncovered)
    for one in lead_gaps_of(found):
        click.echo(
            f"block {one.block}, {one.station}: {one.lacking} lead lacking; could: {', '.join(one.could) or 'nobody'}"
        )


def _line(one: Placed) -> tuple[object, ...]:
    return (one.block, one.station, one.participant or "", one.mentor, one.role, int(one.level))


def _show_uncovered(found: Plan, one: Uncovered) -> None:
    blocks = ", ".join(str(block) for block in one.blocks)
    name = found.floor.call(one.participant)
    click.echo(f"block{'s' if len(one.blocks) > 1 else ''} {blocks}, {one.participant} ({name}): {one.first.because}")
    for near in one.first.nearest:
        click.echo(f"  {near.mentor} at {near.station} lacks: {'; '.join(near.lacks)}")
