"""Sessions and plans on the command line."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from mentor_training.calendar.queries import sessions as all_sessions
from mentor_training.calendar.timetable import COLUMNS, as_row, read_sessions
from mentor_training.console import MOMENT, format_option, read_text, show_json, show_table, stop_on, utc_text
from mentor_training.csv_form import write_rows
from mentor_training.database.instance import Instance
from mentor_training.participants.actions import look
from mentor_training.people.permissions import CONSOLE
from mentor_training.planning.actions.placing import accept as accept_plan
from mentor_training.planning.actions.sessions import import_sessions
from mentor_training.planning.actions.turn import still_open
from mentor_training.planning.exports import (
    COVER_COLUMNS,
    GREEDY,
    PROVEN,
    SUGGESTION_COLUMNS,
    cover_as_json,
    cover_rows,
    suggestion_rows,
    suggestions_as_json,
)  # fmt: skip
from mentor_training.planning.gaps import Uncovered, as_json, by_participant
from mentor_training.planning.queries.asking import question_of
from mentor_training.planning.queries.covering import Covered, all_covered, at_hand, covered, opening_asked
from mentor_training.planning.queries.known import known_for_sessions
from mentor_training.planning.queries.plan import Plan, gaps_of, lead_gaps_of, plan_for, with_more
from mentor_training.planning.queries.suggesting import occasion_for, suggested
from mentor_training.planning.rules import DUTY, LEAD, MENTOR, Placed
from mentor_training.planning.solver.aims import Aim
from mentor_training.planning.solver.search import SECONDS, Found, best_plan
from mentor_training.planning.suggestions import MINUTES_EACH


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
@click.option("--propose", is_flag=True, help="Add the best plan that is found to what is shown; store nothing.")
@click.option("--accept", is_flag=True, help="Store the best plan that is found, then show it.")
@click.option(
    "--seconds", type=click.FloatRange(0.1, 3600), default=SECONDS, show_default=True, help="The time it has."
)
@click.pass_obj
def plan(
    instance: Instance, session: str, form: str, known_at: datetime | None, propose: bool, accept: bool, seconds: float
) -> None:
    """Show the plan of SESSION: placements, leads, and what is not covered, with the reason."""
    if accept and known_at:
        raise click.UsageError("--accept stores by what is known now; leave out --known-at")
    now = instance.now()
    found = _found(instance, session, known_at or now, seconds) if propose or accept else None
    if accept and found:
        with instance.database.writing() as db:
            accept_plan(db, instance.now(), CONSOLE, session, found.added)
    with instance.database.reading() as db:
        shown = plan_for(db, session, known_at or instance.now())
        shown.gate.load_everybody()
        if found and not accept:
            shown = with_more(shown, found.added)
        if form == "json":
            show_json(documented(shown, known_at or now, found, accept))
        else:
            _show(shown, found, accept)


@click.command()
@click.argument("session")
@click.option("--block", "number", type=click.IntRange(min=1), required=True, help="The block, counted from 1.")
@click.option("--participant", default=None, help="Who needs a mentor; the journal keeps that one looked.")
@click.option("--station", default=None, help="Which station lacks a lead (with --lead), or which duty somebody.")
@click.option("--lead", "is_lead", is_flag=True, help="It is a lead of the station who is missing.")
@format_option
@click.pass_obj
def cover(
    instance: Instance, session: str, number: int, participant: str | None, station: str | None, is_lead: bool,
    form: str,
) -> None:  # fmt: skip
    """Say who is checked in and could step in, nearest first, and what each lacks; by default for all that is open."""
    if (participant and station) or (is_lead and not station):
        raise click.UsageError("name one: --participant, or --station with --lead, or --station of a duty, or neither")
    now = instance.now()
    with instance.database.reading() as db:
        shown = plan_for(db, session, now)
        still_open(db, session)
        shown.gate.load_everybody()
        here = at_hand(db, shown)
        one = opening_asked(shown, number, participant, station, is_lead) if participant or station else None
        found = (covered(shown, here, one),) if one else all_covered(shown, here, number)
    _keep_looks(instance, session, found)
    if form == "json":
        head = {"session": session, "on": shown.session.day.isoformat(), "known_at": utc_text(now), "block": number}
        show_json({**head, "at_hand": here.name, "openings": [cover_as_json(one) for one in found]})
        return
    if form == "table" and not here.have_come:
        click.echo("Nobody is checked in yet: these are expected.")
    show_table(form, COVER_COLUMNS, list(cover_rows(found)))


def _keep_looks(instance: Instance, session: str, found: Iterable[Covered]) -> None:
    """Have the journal keep of whom it was asked: what somebody lacks with a participant tells of their needs."""
    with instance.database.writing() as db:
        for one in found:
            if one.opening.participant:
                look(db, instance.now(), CONSOLE, one.opening.participant, f"cover in {session}")


@click.group()
def observations() -> None:
    """Say what to observe next."""


@observations.command("suggest")
@click.option(
    "--minutes", type=click.IntRange(0, 1440), default=None, help="What each observer has; default: the blocks."
)
@click.option("--each", type=click.IntRange(1, 240), default=MINUTES_EACH, show_default=True, help="One observation.")
@click.option(
    "--sessions", "codes", default="", help="Count these, with commas between; default: those after the next."
)
@format_option
@click.pass_obj
def suggest_next(instance: Instance, minutes: int | None, each: int, codes: str, form: str) -> None:
    """Say whom to observe at which skill, so that most participant-blocks of coming sessions become covered."""
    named = [code.strip() for code in codes.split(",") if code.strip()]
    if codes and not named:
        raise click.UsageError(f"--sessions {codes!r} names no session; write codes such as s-12,s-13, or leave it out")
    with instance.database.reading() as db:
        occasion = occasion_for(db, instance.now(), instance.settings.zone, named, minutes)
        found = suggested(db, occasion, each, instance.now())
    if form == "json":
        show_json(suggestions_as_json(found, each))
        return
    show_table(form, SUGGESTION_COLUMNS, list(suggestion_rows(found)))
    if form == "table":
        counted = f"{found.found.before} of {found.found.wanted} participant-blocks can be covered now at the most"
        click.echo(f"{counted}, {found.found.after} then; {PROVEN if found.found.is_proven else GREEDY}")


def _found(instance: Instance, session: str, known_at: datetime, seconds: float) -> Found:
    """Return the best plan; a terminal is told of each step."""
    with instance.database.reading() as db:
        question = question_of(db, plan_for(db, session, known_at), known_at)
    say = _tell if sys.stderr.isatty() else (lambda _: None)
    return best_plan(question, seconds, say)


def _tell(step: str) -> None:
    click.echo(f"looking for the best plan: {step}", err=True)


def documented(found: Plan, known_at: datetime, best: Found | None = None, stored: bool = False) -> dict[str, Any]:
    """Return a plan as its documented JSON."""
    return {
        "session": found.session.code,
        "on": found.session.day.isoformat(),
        "known_at": utc_text(known_at),
        "edition": found.edition.number,
        "proposed": best is not None and not stored,
        "placements": [placing(one) | {"participant": one.participant} for one in _of(found.placed, MENTOR)],
        "leads": [placing(one) for one in _of(found.placed, LEAD)],
        "duties": [placing(one) for one in _of(found.placed, DUTY)],
        "uncovered": [as_json(gap) for gap in gaps_of(found)],
        "lacking_leads": [
            {"block": gap.block, "station": gap.station, "lacking": gap.lacking, "could": list(gap.could)}
            for gap in lead_gaps_of(found)
        ],
        "aims": [_aim(one) for one in best.aims] if best else [],
        "seconds": round(best.seconds, 3) if best else None,
    }


def _aim(one: Aim) -> dict[str, Any]:
    return {"name": one.name, "value": one.value, "bound": one.bound, "proven": one.proven}


def _of(placed: Iterable[Placed], role: str) -> list[Placed]:
    chosen = [one for one in placed if one.role == role]
    return sorted(chosen, key=lambda one: (one.block, one.station, one.participant or "", one.mentor))


def placing(one: Placed) -> dict[str, Any]:
    """Return a placement as its documented JSON, without who it is with."""
    return {"block": one.block, "station": one.station, "mentor": one.mentor, "level": int(one.level)}


def _show(found: Plan, best: Found | None, stored: bool) -> None:
    if best:
        what = "stored" if stored else "proposed; nothing is stored"
        number = len(best.added)
        click.echo(f"{number} placement{'' if number == 1 else 's'} {what}, found in {best.seconds:.1f} s")
        rows_of_aims = [(one.name, one.value, one.bound, "proven" if one.proven else "not proven") for one in best.aims]
        show_table("table", ("aim", "value", "at best", "so far"), rows_of_aims)
    rows = [line_of(one) for role in (MENTOR, LEAD, DUTY) for one in _of(found.placed, role)]
    show_table("table", ("block", "station", "participant", "mentor", "role", "level"), sorted(rows))
    gaps = gaps_of(found)
    click.echo(f"\n{len(gaps)} of {len(found.floor.attended)} participant-blocks uncovered")
    for uncovered in by_participant(gaps):
        _show_uncovered(found, uncovered)
    for one in lead_gaps_of(found):
        click.echo(
            f"block {one.block}, {one.station}: {one.lacking} lead lacking; could: {', '.join(one.could) or 'nobody'}"
        )


def line_of(one: Placed) -> tuple[object, ...]:
    """Return a placement as a row of a table."""
    return (one.block, one.station, one.participant or "", one.mentor, one.role, int(one.level))


def _show_uncovered(found: Plan, one: Uncovered) -> None:
    blocks = ", ".join(str(block) for block in one.blocks)
    name = found.floor.call(one.participant)
    click.echo(f"block{'s' if len(one.blocks) > 1 else ''} {blocks}, {one.participant} ({name}): {one.first.because}")
    for near in one.first.nearest:
        click.echo(f"  {near.mentor} at {near.station} lacks: {'; '.join(near.lacks)}")
